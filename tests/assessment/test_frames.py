"""Verdicts and results as tables."""

import numpy as np
import pytest

from chemcheck.assessment.check import check
from chemcheck.assessment.name_lists import name_lists
from tests.builders import bound, limit, limit_set, readings

SET = limit_set(
    limit("chloride", bound("upper", 40.0), bound("upper", 30.0, "warning")),
    limit("glycol", bound("lower", 33.0)),
    essential=["glycol"],
)
READ = readings(
    {
        "chloride": [100.0, 32.0, (0.0, 60.0)],
        "glycol": [50.0, None, 50.0],
        "sodium": [1.0, 1.0, None],
    },
    unit_id="A",
    technology="hybrid",
)


def test_a_row_a_sample() -> None:
    frame = check(READ, SET).verdicts
    assert frame["sample_id"].tolist() == ["S0", "S1", "S2"]
    assert frame["verdict"].tolist() == ["unfit", "undecided", "undecided"]
    assert frame["limit_set"].tolist() == ["built"] * 3
    assert frame["outside"].tolist() == ["chloride", "", ""]
    assert frame["undecided"].tolist() == ["", "", "chloride"]
    assert frame["warnings"].tolist() == ["", "chloride", ""]
    assert frame["missing"].tolist() == ["", "glycol", ""]


def test_a_row_a_result() -> None:
    frame = check(READ, SET).results
    assert list(zip(frame["sample_id"], frame["analyte"], frame["state"], strict=True)) == [
        ("S0", "chloride", "outside"),
        ("S0", "glycol", "inside"),
        ("S0", "sodium", "not judged"),
        ("S1", "chloride", "warning"),
        ("S1", "sodium", "not judged"),
        ("S2", "chloride", "undecided"),
        ("S2", "glycol", "inside"),
    ]
    first = frame.iloc[0]
    assert (first["bound"], first["side"], first["kind"]) == (40.0, "upper", "action")
    assert (first["source"], first["evidence"]) == ("invented", "memory")
    assert first["u"] > 0
    assert first["probability_outside_lower"] == pytest.approx(1.0)
    unjudged = frame.iloc[2]
    assert np.isnan(unjudged["bound"])
    assert unjudged[["side", "limit_set"]].isna().all()


def test_lists_of_more_names_than_a_word_has_bits() -> None:
    names = [f"n{k}" for k in range(150)]
    flags = np.random.default_rng(3).random((5, 150)) < 0.1
    codes, texts = name_lists(list(flags.T), names, 5)
    expected = ["; ".join(n for n, flag in zip(names, row, strict=True) if flag) for row in flags]
    assert [texts[code] for code in codes] == expected
    assert name_lists([], [], 2)[1] == [""]
