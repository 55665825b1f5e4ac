"""Samples that do not show their circuit."""

import numpy as np
import pytest

from chemcheck.errors import LimitFileError
from chemcheck.judging.representative import sample_validity
from chemcheck.limit_library.sample_validity import read_validity_rules, validity_rules
from tests.readings.build import samples_of


def broken(**facts) -> list[str]:
    n = len(next(iter(facts.values())))
    validity = sample_validity(samples_of(n, facts))
    if validity is None:
        return [""] * n
    return ["" if k < 0 else validity.rules[k].key for k in validity.broken]


def test_sampling_points():
    points = ["radiator neck", "Overflow bottle, left", "drain cock", "Drainage pump outlet", None]
    assert broken(sampling_point=points) == ["", "overflow_bottle", "drain", "", ""]


def test_soon_after_a_top_up():
    assert broken(**{"Hours since top-up": ["0.5", "2", "30 min", None]}) == [
        "soon_after_top_up", "", "soon_after_top_up", "",
    ]  # fmt: skip


def test_hours_since_top_up_from_a_log():
    samples = samples_of(2, {})
    validity = sample_validity(samples, hours_since_top_up=np.array([1.0, np.nan]))
    assert validity.broken.tolist() == [2, -1]


def test_not_run_hot():
    answers = ["yes", "No", "cold", "1", "n"]
    assert broken(**{"Ran hot": answers}) == ["", "cold", "cold", "", "cold"]


def test_what_only_asks():
    samples = samples_of(
        3,
        {
            "Container": ["PE bottle", "jam jar (glass)", "drinks bottle"],
            "Date received": ["2031-05-10", "2031-07-10", None],
            "taken_on": ["2031-05-01", "2031-05-01", "2031-05-01"],
        },
    )
    validity = sample_validity(samples)
    assert validity.broken.tolist() == [-1, -1, -1]
    asked = validity.questions[["row", "column"]].values.tolist()
    assert asked == [[3, "container"], [3, "days_to_laboratory"], [4, "container"]]


def test_a_water_tap_is_no_circuit():
    assert broken(sampling_point=["drain"], material=["water"]) == [""]


def test_nothing_stated_is_nothing():
    assert sample_validity(samples_of(2, {"Shelf": ["a", "b"]})) is None


def test_every_rule_says_who_says_so():
    for rule in validity_rules():
        assert rule.source
        assert rule.says


@pytest.mark.parametrize(
    ("rule", "problem"),
    [
        ("fact: container\n    below: 2\n    unit: h", "a rule on container looks for words"),
        ("fact: hours_since_top_up\n    words: [x]", "compares a number"),
        ("fact: hours_since_top_up\n    below: 2", "has no unit; add `unit:`, such as h"),
        ("fact: hours_since_top_up\n    below: 2\n    unit: mg/L", "mg/L"),
        ("fact: weather\n    words: [x]", "'weather' is no fact of a sample known here"),
    ],
)
def test_a_rule_that_cannot_be_used(tmp_path, rule, problem):
    file = tmp_path / "rules.yaml"
    rest = "then: question\n    says: why\n    source: me\n    evidence: memory"
    file.write_text(f'version: "1"\nvalues:\n  mine:\n    {rule}\n    {rest}\n', encoding="utf-8")
    with pytest.raises(LimitFileError, match=problem):
        read_validity_rules(file)
