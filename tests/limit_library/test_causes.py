"""Fault signatures: every one has a source, says what is expected of it, and errors are placed."""

from pathlib import Path

import pytest

from chemcheck.errors import LimitFileError
from chemcheck.limit_library.cause_records import DERIVED, MOST_OF_SEVERAL, MOST_WEIGHT, Signature
from chemcheck.limit_library.cause_tests import cause_tests
from chemcheck.limit_library.causes import read_signatures, signatures
from chemcheck.limit_library.records import EVIDENCE

# The patterns of the trade: what comes into a coolant, goes wrong in it, or is found at a pump.
PATTERNS = 40

GOOD = """
version: "1"
source: invented for a test
evidence: memory
causes:
  salt:
    title: salt
    features:
      - {of: chloride, rises: [50, 500], unit: mg/L, weight: 1.5, against: 1, key: yes}
    looks_like: [brine]
    confirm_by: Taste nothing.
    do: Flush.
    cautions: [hot_system]
"""


@pytest.mark.parametrize("signature", signatures().values(), ids=lambda one: one.key)
def test_every_signature_says_who_says_so_and_what_to_do(signature: Signature) -> None:
    assert signature.source.strip()
    assert signature.evidence in EVIDENCE
    # A mark of published names who published it; memory does not pass for more.
    assert signature.source.startswith("memory") == (signature.evidence == "memory")
    assert signature.looks_like
    assert signature.confirm_by.endswith(".")
    assert signature.remedy.endswith(".")
    assert signature.cautions
    assert any(feature.key for feature in signature.features)
    for feature in signature.features:
        most = MOST_OF_SEVERAL if feature.of in DERIVED else MOST_WEIGHT
        assert 0 <= feature.weight <= most
        assert 0 <= feature.against <= most
        assert feature.weight or feature.against


def test_all_patterns_are_there() -> None:
    assert len(signatures()) == PATTERNS


def test_whatever_a_signature_names_can_be_tested() -> None:
    told = {key for test in cause_tests() for key in test.tells}
    named = {
        feature.of
        for signature in signatures().values()
        for feature in signature.features
        if feature.of.isidentifier()
    }
    derived = set(DERIVED)
    by_sum = {"calcium_hardness", "magnesium_hardness", "supplemental_additive"}
    assert named - derived - by_sum <= told


@pytest.mark.parametrize(
    ("old", "new", "line", "problem"),
    [
        ("of: chloride", "of: chlorid", 8, "nearest: chloride"),
        ("[50, 500]", "[500, 50]", 8, "in order"),
        ("[50, 500]", "[50]", 8, "expected two numbers"),
        ("weight: 1.5", "weight: 9", 8, "weight from 0 to 2"),
        (", key: yes", "", 7, "would bring the cause up"),
        ("unit: mg/L", "unit: km", 8, "km"),
        ("rises:", "wobbles:", 8, "wobbles"),
        ("cautions: [hot_system]", "cautions: [hot_sytem]", 12, "nearest: hot_system"),
        ("  salt:\n    title: salt", "  salt:\n    titel: salt", 6, "titel"),
        ("rises: [50, 500], unit: mg/L", "times: [0.5, 2]", 8, "both below 1 or both above"),
        ("rises: [50, 500], unit: mg/L", "seen: film", 8, "no list of ordered words"),
        ("rises: [50, 500], unit: mg/L", "ratio_to: sodium", 8, "'between' is missing"),
        ("rises: [50, 500]", "above: [50, 20]", 8, "second number greater"),
        (
            "rises: [50, 500], unit: mg/L",
            "times: [1.2, 2], held_against: tap water",
            8,
            "only rises",
        ),
        (
            "rises: [50, 500], unit: mg/L",
            "ratio_to: sodium, between: [1, 2], held_against: tap water",
            8,
            "to be its own",
        ),
        ("unit: mg/L", "unit: mg/L, held_against: rain", 8, "rain"),
    ],
)
def test_mistakes_are_told_with_their_place(
    tmp_path: Path, old: str, new: str, line: int, problem: str
) -> None:
    path = tmp_path / "mine.yaml"
    assert old in GOOD
    path.write_text(GOOD.replace(old, new).lstrip())
    with pytest.raises(LimitFileError, match=problem) as told:
        read_signatures(path)
    assert told.value.line == line


def test_amounts_are_canonical(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(GOOD.replace("unit: mg/L", "unit: g/L").replace("[50, 500]", "[0.05, 0.5]"))
    feature = read_signatures(path)[0].features[0]
    assert feature.quoted == pytest.approx((50.0, 500.0))


def test_what_does_not_rise_is_told_from_what_rises_or_falls() -> None:
    road_salt = {one.of: one for one in signatures()["road_salt"].features if not one.of_tap_water}
    assert road_salt["magnesium"].steady
    assert not road_salt["chloride"].steady
    assert not any(one.steady for one in signatures()["combustion_gas_leak"].features)
