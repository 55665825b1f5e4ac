"""Volumes of titrant against the formulas of the methods that titrate."""

import pytest

from chemcheck.analytes import to_canonical
from chemcheck.errors import UnitError
from chemcheck.units import parse_unit
from chemcheck.units.titration import titration_unit

# Standard Methods for the Examination of Water and Wastewater, from memory: 2320 B,
# mg CaCO3/L = A N 50,000/mL sample; 4500-Cl B, mg Cl/L = A N 35,450/mL sample; 2340 C, 1 mL of
# 0.01 M EDTA is 1 mg CaCO3. The rounded equivalents differ in the fourth digit.
FORMULAS = [
    ("total_alkalinity", "mL 0.02 N H2SO4/50 mL", 6.2, 6.2 * 0.02 * 50_000 / 50),
    ("total_alkalinity", "mL 0.01 M H2SO4/50 mL", 6.2, 6.2 * 0.02 * 50_000 / 50),
    ("total_alkalinity", "mL of 0.1 N acid per 100 mL sample", 1.5, 1.5 * 0.1 * 50_000 / 100),
    ("chloride", "mL 0.0141 N AgNO3/100 mL", 8.0, 8.0 * 0.0141 * 35_450 / 100),
    ("total_hardness", "mL 0.01 M EDTA / 25 mL", 3.4, 3.4 * 1000 / 25),
    ("calcium_hardness", "mL 0,01 M EDTA, 50 mL sample", 2.0, 2.0 * 1000 / 50),
    # ASTM D1121 states reserve alkalinity as mL of 0.100 N acid for 10 mL: half the sample
    # takes half the acid, acid of half the strength twice as much.
    ("reserve_alkalinity", "mL 0.1 N HCl/5 mL", 2.0, 4.0),
    ("reserve_alkalinity", "mL 0.05 N acid/10 mL", 8.0, 4.0),
    ("reserve_alkalinity", "mL 0.1 N acid/10 mL", 4.0, 4.0),
]


@pytest.mark.parametrize(("analyte", "unit", "volume", "expected"), FORMULAS)
def test_formula_of_the_method(analyte, unit, volume, expected):
    assert to_canonical(analyte, unit)(volume) == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize(
    "text",
    [
        "mL",
        "mL 0.1 N",  # of ASTM D1121, whose sample is known
        "mL 0.01 M/50 mL",  # moles of what?
        "mL 0.01 M of something/50 mL",
        "mL 0 N acid/50 mL",
        "mL 0.1 N acid/0 mL",
        "mL 0.1 N acid/50 L",
        "0.1 N acid/50 mL",
    ],
)
def test_texts_that_are_no_titration(text):
    assert titration_unit(text) is None


def test_titration_of_what_has_no_equivalents():
    assert parse_unit("mL 0.1 N acid/50 mL").dimension == "titrant volume"
    for analyte in ("glycol", "ph", "total_dissolved_solids"):
        with pytest.raises(UnitError):
            to_canonical(analyte, "mL 0.1 N acid/50 mL")
