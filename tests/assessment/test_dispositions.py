"""What to do, and why: simple rules over what is outside."""

import numpy as np
import pytest

from chemcheck.analytes import vocabulary
from chemcheck.assessment.check import check
from chemcheck.assessment.dispositions import DISPOSITIONS, disposition_rules
from chemcheck.limit_library.records import Comparison, Rule
from tests.builders import Cell, bound, limit, limit_set, readings

COOLANT = limit_set(
    limit("glycol", bound("lower", 33.0), bound("upper", 65.0)),
    limit("nitrite", bound("lower", 800.0)),
    limit("chloride", bound("upper", 100.0)),
    limit("reserve_alkalinity", bound("lower", 3.0)),
    limit("boiling_point", bound("lower", 105.0)),
    limit("azoles", bound("lower", 200.0, "warning")),
    essential=["glycol"],
)
WATER = limit_set(
    limit("chloride", bound("upper", 40.0)),
    limit("ph", bound("lower", 5.5)),
    material="water",
)


def said(
    by: object = COOLANT, more: dict[str, object] | None = None, **cells: Cell
) -> tuple[str, str]:
    """Return disposition and reason of one sample of a unit that has two."""
    columns = {"glycol": 50.0, **cells} if by is COOLANT else cells
    material = "coolant" if by is COOLANT else "water"
    sample = {"unit_id": ["A", "A"], "technology": "hybrid", "material": material, **(more or {})}
    read = readings({name: [value, value] for name, value in columns.items()}, **sample)
    assessment = check(read, by)  # type: ignore[arg-type]
    disposition = DISPOSITIONS[assessment.disposition[0]]
    return disposition, assessment.because_texts[assessment.because[0]]


def test_fit_keeps() -> None:
    assert said() == ("keep", "every reading that was judged is inside its bounds")


def test_fit_with_a_warning_keeps_and_names_it() -> None:
    assert said(azoles=50.0) == (
        "keep", "Azoles, total is or may be below 200 mg/L, to watch",
    )  # fmt: skip


def test_low_glycol_or_additive_is_corrected_in_place() -> None:
    disposition, because = said(glycol=20.0, nitrite=100.0)
    assert disposition == "correct in place"
    assert because == (
        "Glycol is below 33 vol%, and 1 more bound broken; "
        "add concentrate or additive by calculation, and test again"
    )
    disposition, because = said(glycol=80.0)
    assert disposition == "correct in place"
    assert "drain a part" in because


def test_a_spent_reserve_asks_for_a_change() -> None:
    assert said(glycol=20.0, reserve_alkalinity=0.1)[0] == "change"


def test_contamination_comes_before_all() -> None:
    disposition, because = said(glycol=20.0, reserve_alkalinity=0.1, chloride=300.0)
    assert disposition == "find the fault first"
    assert because.startswith("Chloride is above 100 mg/L, and 2 more bounds broken; find out")


def test_what_no_rule_names_is_a_fault_to_find() -> None:
    assert said(boiling_point=80.0)[0] == "find the fault first"


def test_undecided_is_sampled_again() -> None:
    assert said(chloride=(50.0, 150.0)) == ("resample first", "Chloride may be above 100 mg/L")
    assert said(glycol=None) == ("resample first", "no usable reading of glycol")
    assert said(chloride="rejected") == (
        "resample first", "a reading of chloride could not be made out",
    )  # fmt: skip


def test_costly_advice_on_one_sample_must_be_confirmed() -> None:
    alone = said(chloride=300.0, more={"unit_id": ["A", "B"]})[1]
    assert alone.endswith("; confirm first: the unit has no other sample")
    unnamed = said(chloride=300.0, more={"unit_id": None})[1]
    assert unnamed.endswith("; confirm first: the unit has no other sample")
    cheap = said(glycol=20.0, more={"unit_id": ["A", "B"]})[1]
    assert "confirm first" not in cheap


def test_costly_advice_on_an_unknown_technology_must_be_confirmed() -> None:
    both = said(chloride=300.0, more={"unit_id": None, "technology": None})[1]
    assert both.endswith(
        "; confirm first: the unit has no other sample and its technology is not known"
    )


@pytest.mark.parametrize(
    ("cells", "expected"),
    [({"chloride": 90.0, "ph": 7.0}, "correct in place"), ({"chloride": 5.0, "ph": 4.0}, "change")],
)
def test_water_is_blended_or_replaced(cells: dict[str, Cell], expected: str) -> None:
    assert said(WATER, **cells)[0] == expected


def test_a_rule_asks_for_what_its_worst_reading_asks_for() -> None:
    total = Comparison("sum", (("chloride", 1.0), ("nitrite", 1.0)), "upper", 200.0, "mg/L")
    rule = Rule("salts", "salts together", "action", total, (), "Something.", "invented", "memory")
    by = limit_set(limit("glycol", bound("lower", 33.0)), rules=[rule])
    read = readings(
        {"glycol": [50.0] * 2, "chloride": [200.0] * 2, "nitrite": [50.0] * 2}, unit_id="A"
    )
    assessment = check(read, by, "hybrid")
    assert DISPOSITIONS[assessment.disposition[0]] == "find the fault first"
    assert assessment.because_texts[0].startswith("Salts together is above 200 mg/L; find out")


def test_the_file_of_rules_is_sound() -> None:
    rules = disposition_rules()
    known = set(vocabulary())
    assert set(rules.order) < set(DISPOSITIONS)
    assert rules.otherwise in rules.order
    for (material, analyte, side), (disposition, because) in rules.advice.items():
        assert material in ("water", "coolant", "new coolant")
        assert analyte in known, analyte
        assert side in ("lower", "upper")
        assert disposition in rules.order
        assert because


def test_many_outside_are_counted() -> None:
    read = readings(
        {"chloride": [300.0] * 2, "glycol": [20.0] * 2, "nitrite": [1.0] * 2}, unit_id="A"
    )
    frame = check(read, COOLANT, "hybrid").verdicts
    assert frame["outside"].tolist() == ["chloride; glycol; nitrite"] * 2
    assert np.array_equal(frame["verdict"], ["unfit", "unfit"])
