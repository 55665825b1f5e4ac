"""Readings in, verdicts, dispositions and counts out."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.assessment.check import check
from chemcheck.assessment.counts import COUNT_KEYS
from chemcheck.errors import LimitFileError, UnknownTechnologyError
from chemcheck.judging import VERDICT_NAMES
from tests.builders import Cell, bound, limit, limit_set, readings

IRON = limit_set(limit("iron", bound("upper", 25.0), basis="dissolved"), id="iron")
GOOD = {"ph:diluted": [8.5], "glycol:by_volume": [50.0]}


def verdict_words(assessment: object) -> list[str]:
    return [VERDICT_NAMES[code] for code in assessment.headline.verdict]  # type: ignore[attr-defined]


def test_the_default_set_hangs_on_material_and_technology() -> None:
    read = readings(
        {"ph:diluted": [8.5] * 3, "glycol": [50.0] * 3},
        material=["coolant", "coolant", "water"],
        technology=["hybrid", None, None],
    )
    assessment = check(read)
    judged = assessment.headline
    assert [judged.sets[k].id for k in judged.set_of_sample] == [
        "hybrid_in_service",
        "coolant_in_service",
        "fill_water_default",
    ]
    assert judged.name == "by material and technology"
    assert {each.id for each in assessment.limit_sets} == {each.id for each in judged.sets}
    assert verdict_words(assessment)[1] == "undecided"


def test_a_coolant_of_unknown_technology_can_be_unfit_but_not_fit() -> None:
    read = readings(
        {"ph:diluted": [8.5, 8.5], "glycol:by_volume": [50.0, 10.0], "nitrite": [0.0, 0.0]}
    )
    assessment = check(read)
    assert verdict_words(assessment) == ["undecided", "unfit"]
    assert "nobody stated" in assessment.because_texts[assessment.because[0]]


def test_a_technology_may_be_stated_for_samples_without_one() -> None:
    read = readings({"ph:diluted": [8.5, 8.5], "glycol": [50.0, 50.0]}, technology=["hybrid", None])
    assessment = check(read, technology="organic_acid")
    assert assessment.readings.samples["technology"].tolist() == ["hybrid", "organic_acid"]
    assert (
        "technology organic_acid for 1 samples that state none, as told" in assessment.assumptions
    )
    assert read.samples["technology"].isna().tolist() == [False, True]


def test_a_technology_that_nobody_knows() -> None:
    with pytest.raises(UnknownTechnologyError, match="'organic_acids' is no technology known here"):
        check(readings(GOOD), technology="organic_acids")
    assessment = check(readings(GOOD, technology=["organic_acids"]))
    assert verdict_words(assessment) == ["undecided"]
    assert any("nearest: organic_acid; its samples" in said for said in assessment.assumptions)


def test_several_sets_give_a_verdict_each_and_the_first_the_headline() -> None:
    strict = limit_set(limit("glycol", bound("lower", 55.0)), id="strict")
    loose = limit_set(limit("glycol", bound("lower", 30.0)), id="loose")
    assessment = check(readings({"glycol": [50.0]}), [loose, strict])
    assert [judged.name for judged in assessment.judged] == ["loose", "strict"]
    assert verdict_words(assessment) == ["fit"]
    assert assessment.verdicts.loc[0, "verdict by strict"] == "unfit"


def test_the_headline_takes_the_first_set_that_applies() -> None:
    water = limit_set(limit("chloride", bound("upper", 40.0)), id="water", material="water")
    coolant = limit_set(limit("chloride", bound("upper", 100.0)), id="coolant")
    read = readings({"chloride": [50.0, 50.0]}, material=["coolant", "water"])
    assessment = check(read, [water, coolant])
    assert verdict_words(assessment) == ["fit", "unfit"]
    assert assessment.headline.name == "water or coolant"
    # A set says nothing of what it is not for.
    assert assessment.judged[1].set_of_sample.tolist() == [0, -1]
    alone = check(read, water)
    assert verdict_words(alone) == ["undecided", "unfit"]
    assert alone.because_texts[alone.because[0]] == "no limit set applies to this sample"


def test_a_set_of_another_technology_does_not_apply() -> None:
    hybrid = limit_set(limit("glycol", bound("lower", 30.0)), id="h", technologies=["hybrid"])
    read = readings({"glycol": [50.0] * 3}, technology=["hybrid", "organic_acid", None])
    assessment = check(read, hybrid)
    assert verdict_words(assessment) == ["fit", "undecided", "fit"]
    assert any(said.startswith("1 samples state no technology") for said in assessment.assumptions)


def test_limits_by_id_and_file(tmp_path: Path) -> None:
    assert check(readings(GOOD), "hybrid_in_service").headline.name == "hybrid_in_service"
    with pytest.raises(LimitFileError, match="nearest: hybrid_in_service"):
        check(readings(GOOD), "hybrid_in_servise")


def test_methods_that_are_not_stated_are_an_assumption() -> None:
    assumed = check(readings(GOOD), IRON).assumptions
    assert any(
        said.startswith("uncertainty of readings of coolant without a method") for said in assumed
    )
    stated = check(readings(GOOD, method="strip_coolant"), IRON).assumptions
    assert not any("without a method" in said for said in stated)
    odd = check(readings(GOOD, method="crystal ball"), IRON).assumptions
    assert any("'crystal ball' is not in the library" in said for said in odd)


def test_many_unknown_methods_are_one_line() -> None:
    read = readings(GOOD)
    names = tuple(f"crystal ball {k}" for k in range(40))
    odd = check(replace(read, method=replace(read.method, names=names)), IRON).assumptions
    said = [one for one in odd if "not in the library" in one]
    assert len(said) == 1
    assert "'crystal ball 4' and 35 more" in said[0]


def test_assumptions_made_while_reading_are_carried_on() -> None:
    read = readings(GOOD)
    table = pd.DataFrame({"file": ["a.csv"], "column": [None], "assumption": ["coolant"]})
    assert "a.csv: coolant" in check(replace(read, assumptions=table), IRON).assumptions


def test_the_fresh_fill_of_the_unit_is_the_reference() -> None:
    half = limit_set(limit("reserve_alkalinity", bound("lower", 0.5, of_fresh=True)))
    read = readings(
        {"reserve_alkalinity": [10.0, 3.0, 3.0]},
        unit_id=["A", "A", "B"],
        sample_type=["fresh fill", "routine", "routine"],
        taken_on=pd.to_datetime(["2031-01-01", "2031-06-01", "2031-06-01"]),
    )
    assert verdict_words(check(read, half)) == ["fit", "unfit", "undecided"]


def test_no_samples_at_all() -> None:
    assessment = check(readings({"iron:dissolved": []}))
    assert assessment.counts == dict.fromkeys(COUNT_KEYS, 0)
    assert assessment.verdicts.empty
    assert assessment.results.empty
    assert assessment.headline.undecided_share == {"overlap": 0, "simple": 0, "guarded": 0}


def test_the_share_left_undecided_by_each_rule() -> None:
    # u of glycol in the laboratory is 1 vol%: 33.5 +- 2 spans 33, 31.5 lies below it.
    strong = limit_set(limit("glycol", bound("lower", 33.0)))
    read = readings({"glycol": [50.0, 33.5, 31.5, (30.0, 40.0)]})
    shares = check(read, strong).headline.undecided_share
    assert shares == {"overlap": 0.75, "simple": 0.25, "guarded": 0.5}


cell: st.SearchStrategy[Cell] = st.one_of(
    st.floats(0, 100), st.none(), st.just("rejected"), st.just("absent")
)


@settings(max_examples=50, deadline=None)
@given(
    st.integers(0, 6).flatmap(
        lambda n: st.lists(st.lists(cell, min_size=n, max_size=n), min_size=1, max_size=4)
    )
)
def test_counts_add_up(cells: list[list[Cell]]) -> None:
    names = ["iron:dissolved", "sodium", "glycol", "chloride"]
    read = readings(dict(zip(names, cells, strict=False)))
    counts = check(read, [IRON, limit_set(limit("glycol", bound("lower", 33.0)))]).counts
    given_cells = [each for column in cells for each in column]
    assert counts["cells_read"] == sum(each != "absent" for each in given_cells)
    assert counts["cells_blank"] == sum(each is None for each in given_cells)
    assert counts["cells_rejected"] == sum(each == "rejected" for each in given_cells)
    parts = ("cells_judged", "cells_not_judged", "cells_blank", "cells_rejected")
    assert counts["cells_read"] == sum(counts[part] for part in parts)
    assert counts["fit"] + counts["unfit"] + counts["undecided"] == counts["samples"]
    rows = ("samples", "duplicate_rows", "rejected_rows")
    assert counts["rows_read"] == sum(counts[part] for part in rows)


def test_cells_of_a_column_set_aside_are_counted() -> None:
    read = readings({"glycol": [50.0, "rejected"]})
    lines = {"file": "a", "row": None, "text": "", "problem": "?"}
    table = pd.DataFrame(
        [{**lines, "column": "hardness", "cells": 2}, {**lines, "column": "glycol", "cells": 1}]
    )
    counts = check(replace(read, rejected=table), IRON).counts
    assert (counts["cells_read"], counts["cells_rejected"]) == (4, 3)


def test_the_order_of_samples_does_not_matter() -> None:
    cells = {"iron:dissolved": [30.0, 1.0, None, 24.0], "glycol": [20.0, 50.0, 50.0, 50.0]}
    order = np.array([2, 0, 3, 1])
    first = check(readings(cells, unit_id=list("ABCD")), "coolant_in_service")
    shuffled = {name: [column[k] for k in order] for name, column in cells.items()}
    second = check(
        readings(shuffled, unit_id=[list("ABCD")[k] for k in order]), "coolant_in_service"
    )
    columns = ["verdict", "disposition", "because", "outside", "undecided", "warnings", "missing"]
    expected = first.verdicts[columns].iloc[order].reset_index(drop=True)
    pd.testing.assert_frame_equal(expected.astype("str"), second.verdicts[columns].astype("str"))


def test_a_technology_without_a_set_is_judged_only_by_one_that_the_user_names() -> None:
    read = readings(
        {"ph:diluted": [8.5], "glycol:by_volume": [50.0]}, technology=["low_conductivity"]
    )
    assessment = check(read)
    assert verdict_words(assessment) == ["undecided"]
    assert assessment.counts["cells_judged"] == 0
    assert any("no set of the library judges it" in said for said in assessment.assumptions)
    assert "high_voltage" in assessment.cautions
    own = limit_set(limit("glycol", bound("lower", 45.0)), id="maker", essential=("glycol",))
    assert verdict_words(check(read, own)) == ["fit"]
    assert "high_voltage" in check(read, own).cautions


def test_a_share_of_concentrate_is_judged_by_its_glycol_and_counts_once() -> None:
    read = readings(
        {
            "ph:diluted": [8.5, 8.5, 8.5],
            "glycol:by_volume": [None, 50.0, None],
            "coolant_concentrate:by_volume": [50.0, 50.0, 20.0],
        },
        technology=["hybrid"] * 3,
    )
    assessment = check(read)
    assert verdict_words(assessment) == ["fit", "fit", "unfit"]
    counts = assessment.counts
    # 7 readings: 3 of pH, 1 of glycol, and 2 of 3 shares are judged; the third says no more.
    assert (counts["cells_judged"], counts["cells_not_judged"]) == (6, 1)
    assert any("glycol worked out from the share" in said for said in assessment.assumptions)
