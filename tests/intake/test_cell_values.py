"""Cells in the canonical unit, with what is impossible, unusual or open."""

import numpy as np
import pyarrow as pa
import pytest

from chemcheck.intake.cell_records import EITHER, PER_MASS, PER_VOLUME, Measured
from chemcheck.intake.cell_values import ColumnReader
from chemcheck.intake.choices import Choices, StripChart
from chemcheck.intake.headers import read_header
from chemcheck.limit_library import methods
from chemcheck.readings.record import BLANK, READ, REJECTED

WATER, COOLANT = Measured("water"), Measured("coolant")


def read(title: str, cells: list[str], measured=WATER, decimal=".", **choices):
    reader = ColumnReader(read_header(title), pa.array(cells), Choices(**choices), decimal)
    values = reader.values(measured)
    said = reader.said.texts
    return (
        values,
        [
            [said[k] if k >= 0 else None for k in codes]
            for codes in (values.problem, values.open, values.question)
        ],
        list(reader.assumed),
        reader,
    )


@pytest.mark.parametrize(
    ("title", "cell", "value"),
    [
        # Factors from IUPAC abridged atomic weights 2021.
        ("Total hardness (dH)", "10", 178.48),
        ("TH", "10 °dH", 178.48),
        ("Hardness", "10 gpg", 171.181),
        ("Hardness (mmol/L)", "1", 100.086),
        ("NO3-N [mg/L]", "10", 44.266),
        ("Nitrate (mg/L)", "10 mg/L as N", 44.266),
        ("Silica (mg/L as SiO2)", "20", 20 * 0.46744),
        ("Chloride (ug/L)", "500", 0.5),
        ("Freezing point (F)", "-34", -36.6667),
        ("Conductivity (mS/cm)", "1.5", 1500),
        ("Glycol %", "50/50", 50),
    ],
)
def test_units_and_forms(title, cell, value):
    values, said, *_ = read(title, [cell])
    assert values.status.tolist() == [READ]
    assert values.lower.item() == pytest.approx(value, rel=2e-5)
    assert values.upper.item() == values.lower.item()
    assert said[:2] == [[None]] * 2


def test_kinds_of_cells():
    cells = ["7.8", "", "n/a", "purple", "<0.5", ">300", "100-250", "ND", "OVER"]
    values, said, *_ = read("Chloride (mg/L)", cells)
    assert values.status.tolist() == [
        READ,
        BLANK,
        BLANK,
        REJECTED,
        READ,
        READ,
        READ,
        REJECTED,
        REJECTED,
    ]
    nan = np.nan
    np.testing.assert_equal(values.lower, [7.8, nan, nan, nan, 0, 300, 100, nan, nan])
    np.testing.assert_equal(values.upper, [7.8, nan, nan, nan, 0.5, np.inf, 250, nan, nan])
    assert said[0][7].startswith("not detected, without a limit; expected one as in <0.5")
    assert said[0][8].startswith("above the range, without a number")
    assert [bool(text) for text in said[0]] == (values.status == REJECTED).tolist()


def test_impossible_is_refused_and_unusual_is_asked():
    values, said, *_ = read("pH", ["99", "14", "2"])
    assert values.status.tolist() == [REJECTED, READ, READ]
    assert np.isnan(values.lower[0])
    assert said[0] == ["impossible: expected 0 to 14 pH", None, None]
    assert said[2][2].startswith("unusual: pH of water is mostly")
    _, said, *_ = read("Chloride (mg/L)", ["-3"])
    assert said[0][0].startswith("impossible: expected 0 to 200,000 mg/L")


def test_below_a_temperature_begins_where_it_can():
    values, *_ = read("Freezing point (F)", ["<-34"])
    assert values.lower.item() == -90  # the least possible [deg C]
    assert values.upper.item() == pytest.approx(-36.6667, abs=1e-4)


@pytest.mark.parametrize(
    ("title", "open_choice"),
    [
        ("Hardness", "no unit: total hardness is written in mg/L as CaCO3, mmol/L, dH"),
        ("Freeze Pt", "no unit: freezing point is written in deg C, deg F"),
        ("Silicate (mg/L)", "'Silicate (mg/L)' may be written as Si, SiO2: say which"),
        ("Silicate", "'Silicate' may be written as Si, SiO2"),
    ],
)
def test_split_practice_is_set_aside(title, open_choice):
    values, said, *_ = read(title, ["12", "5"])
    assert values.status.tolist() == [REJECTED, REJECTED]
    assert said[0] == [None, None]
    assert said[1][0].startswith(open_choice)
    assert "--columns" in said[1][0]


def test_cell_that_settles_the_choice_is_read():
    values, *_ = read("Freeze Pt", ["-35.1 C", "-35.1"])
    assert values.status.tolist() == [READ, REJECTED]
    values, *_ = read("Silicate (mg/L)", ["10 mg/L as SiO2", "10"])
    assert values.status.tolist() == [READ, REJECTED]
    assert values.lower[0] == pytest.approx(4.6744, rel=1e-4)


def test_usual_unit_and_basis_are_said():
    values, _, assumed, reader = read("Fe", ["2"])
    assert values.status.tolist() == [READ]
    assert reader.basis == "dissolved"
    assert assumed == [
        "basis not stated: dissolved or undigested",
        "no unit stated: taken as mg/L of Fe, usual in water",
    ]
    # Nobody writes the unit of a pH; what the title says needs no assumption.
    assert read("pH (as received)", ["7"])[2] == []
    assert read("Fe dissolved mg/L", ["7"])[2] == []


def test_unit_of_something_else_is_refused():
    values, said, *_ = read("Chloride (mg/L)", ["5 psi", "5 lots"])
    assert values.status.tolist() == [REJECTED, REJECTED]
    assert "pressure" in said[0][0]
    assert "'lots' is no unit known here" in said[0][1]


def test_basis_of_a_cell_must_be_that_of_its_column():
    values, said, *_ = read("Glycol (vol%)", ["50 mass%"], COOLANT)
    assert values.status.tolist() == [REJECTED]
    assert said[0] == ["'mass%' is on another basis than the column"]


def test_decimal_that_nobody_decides():
    values, said, *_ = read("Chloride (mg/L)", ["300,000", "7"], decimal=None)
    assert values.status.tolist() == [REJECTED, READ]
    assert "--decimal" in said[1][0]


@pytest.mark.parametrize(
    ("unit", "measured", "ppm", "counts"),
    [
        ("ppm", COOLANT, None, EITHER),
        ("ppm", COOLANT, "mg/L", PER_VOLUME),
        ("ppm", COOLANT, "mg/kg", PER_MASS),
        ("mg/kg", COOLANT, None, PER_MASS),
        ("mg/kg", COOLANT, "mg/L", PER_MASS),
        ("mg/L", COOLANT, "mg/kg", PER_VOLUME),
        ("ppm", WATER, None, PER_VOLUME),
        ("mg/kg", WATER, None, PER_VOLUME),
        ("ppm", Measured("coolant", methods()["strip_coolant"], True), None, PER_VOLUME),
    ],
)
def test_what_a_number_counts(unit, measured, ppm, counts):
    values, *_ = read(f"Chloride ({unit})", ["60"], measured, ppm=ppm)
    assert values.counts.tolist() == [counts]


def test_usual_unit_of_coolant_is_ppm():
    assert read("Chloride", ["60"], COOLANT)[0].counts.tolist() == [EITHER]
    assert read("Chloride", ["60"], WATER)[0].counts.tolist() == [PER_VOLUME]


def test_not_detected_by_a_method_with_a_limit():
    known = Measured("coolant", methods()["laboratory_coolant"])
    limit = methods()["laboratory_coolant"].precision["silicon"].detection_limit
    values, said, assumed, _ = read("Silicon (mg/L)", ["ND"], known)
    assert (values.status.item(), values.lower.item(), values.upper.item()) == (READ, 0, limit)
    assert said[0] == [None]
    assert f"not detected: below the method's limit of {limit:g} mg/L" in assumed
    values, said, *_ = read("Chloride (mg/L)", ["ND"], known)  # without a limit for it
    assert values.status.tolist() == [REJECTED]


STRIP = methods()["strip_coolant"]


@pytest.mark.parametrize(
    ("lot_known", "choices", "span"),
    [
        # Generic steps 0, 300, 600, 800, 1200, 1600, 2400, 3200 (common practice, no source).
        (True, {}, (450, 700)),
        (False, {}, (300, 800)),
        (True, {"strips_late": True}, (300, 800)),
        (False, {"strip_charts": {"nitrite": StripChart((0, 500, 600, 900))}}, (550, 750)),
    ],
)
def test_pads(lot_known, choices, span):
    measured = Measured("coolant", STRIP, lot_known)
    values, *_ = read("Nitrite (mg/L)", ["600"], measured, **choices)
    assert (values.lower.item(), values.upper.item()) == span


def test_unknown_lot_is_said():
    _, _, assumed, _ = read("Nitrite (mg/L)", ["600"], Measured("coolant", STRIP, False))
    assert "lot of the strips not known: each reading spans to the neighbouring pads" in assumed


def test_words_on_strips():
    values, *_ = read("Nitrite (mg/L)", ["ND", "OVER"], Measured("coolant", STRIP, True))
    assert values.lower.tolist() == [0, 2800]
    assert values.upper.tolist() == [150, np.inf]


def test_ordered_words():
    values, *_ = read("Appearance", ["clear", "", "42"], COOLANT)
    assert values.status.tolist() == [READ, BLANK, REJECTED]
    assert values.lower[0] == 0
