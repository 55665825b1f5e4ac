"""Factors of units against constants and conversion tables nobody here wrote."""

import csv
from pathlib import Path

import pytest
from scipy import constants

from chemcheck.errors import UnitError
from chemcheck.units import Unit, convert, linear_map, parse_unit

# scipy.constants carries the values of NIST SP 811 and CODATA.
SCIPY = [
    ("psi", "Pa", constants.psi),
    ("bar", "Pa", constants.bar),
    ("atm", "Pa", constants.atm),
    ("mmHg", "Pa", constants.mmHg),
    ("US gal", "m3", constants.gallon),
    ("imp gal", "m3", constants.gallon_imp),
    ("US fl oz", "m3", constants.fluid_ounce),
    ("in", "m", constants.inch),
    ("ft", "m", constants.foot),
    ("mi", "m", constants.mile),
    ("nmi", "m", constants.nautical_mile),
    ("um", "m", constants.micron),
    ("lb", "kg", constants.pound),
    ("oz", "kg", constants.ounce),
    ("grain", "kg", constants.grain),
    ("d", "s", constants.day),
    ("week", "s", constants.week),
    ("year", "s", constants.Julian_year),
    ("lb/US gal", "g/L", constants.pound / constants.gallon),
    ("gpg", "mg/L", constants.grain * 1e6 / (constants.gallon * 1e3)),
]


@pytest.mark.parametrize(("unit", "base", "factor"), SCIPY)
def test_factors_are_those_of_scipy(unit: str, base: str, factor: float) -> None:
    assert linear_map(unit, base).factor == pytest.approx(factor, rel=1e-11)


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    # ASTM D4985 scope: -34 F is -37 C and 226 F is 108 C as rounded there; exact fixed points.
    [(32.0, 0.0), (212.0, 100.0), (-40.0, -40.0), (-34.0, -36.67), (226.0, 107.78)],
)
def test_fahrenheit(fahrenheit: float, celsius: float) -> None:
    assert convert(fahrenheit, "deg F", "deg C") == pytest.approx(celsius, abs=0.005)
    assert convert(celsius + 273.15, "K", "deg F") == pytest.approx(fahrenheit, abs=0.01)


@pytest.mark.parametrize(
    ("unit", "caco3"),
    # Definitions: 1 grain per US gallon, 1 grain per imperial gallon, 10 mg CaO/L, 10 mg CaCO3/L;
    # the German degree as computed from IUPAC abridged atomic weights 2021.
    [("gpg as CaCO3", 17.1181), ("Clark", 14.2538), ("dH", 17.8480), ("fH", 10.0)],
)
def test_degrees_of_hardness(unit: str, caco3: float) -> None:
    assert convert(1, unit, "mg/L as CaCO3") == pytest.approx(caco3, abs=5e-5)


def test_hardness_table_of_a_makers_manual() -> None:
    # A maker's fluids specification prints 1 mmol/L = 5.6 German degrees, and 1 German
    # degree = 1.79 French = 1.25 English.
    assert convert(1, "mmol/L", "dH", molar_mass=100.086, charge=2) == pytest.approx(5.6, abs=0.05)
    assert convert(1, "dH", "fH") == pytest.approx(1.79, abs=0.006)
    assert convert(1, "dH", "Clark") == pytest.approx(1.25, abs=0.005)


def test_equivalents_and_reserve_alkalinity() -> None:
    # 1 mL of 0.1 N acid on 10 mL of sample is 0.1 meq on 0.01 L: 10 meq/L (ASTM D1121).
    assert convert(1, "mL 0.1 N acid/10 mL", "meq/L") == pytest.approx(10)
    # 1 meq/L is 50.043 mg/L as CaCO3.
    assert convert(1, "meq/L", "mg/L as CaCO3") == pytest.approx(50.043, abs=5e-4)


# The official table of units is wrong, or means something else, for these.
WQX_DIFFERS = {
    "milliMolar": "a millimolar solution is 1 mmol/L, not 0.001",
    "ueq/L": "a microequivalent is a thousandth of a milliequivalent, not a thousand",
    "umol/g": "a micromole in a gram is a thousand in a kilogram, not a thousandth",
    "cfu/100mL": "100 colonies in 100 mL are 1 in 1 mL: the factor is upside down",
    "cfu/L": "1000 colonies in 1 L are 1 in 1 mL: the factor is upside down",
    "Min": "minutes of arc",
    "Sec": "seconds of arc",
}


def _known(text: str) -> Unit | None:
    try:
        return parse_unit(text)
    except UnitError:
        return None


def _table(open_data: Path) -> list[dict[str, str]]:
    with (open_data / "wqx" / "WQXunitRef.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def test_factors_are_those_of_the_open_water_quality_exchange(open_data: Path) -> None:
    compared = 0
    for row in _table(open_data):
        unit, target = _known(row["Code"]), _known(row["Target.Unit"])
        if unit is None or target is None or row["Code"] in WQX_DIFFERS:
            continue
        if unit.dimension != target.dimension:
            continue
        factor, before = float(row["Conversion.Factor"]), float(row["Conversion.Coefficient"])
        found = linear_map(unit, target)
        # The table rounds some factors to six digits.
        assert found.factor == pytest.approx(factor, rel=3e-6), row["Code"]
        assert found.offset == pytest.approx(factor * before, rel=1e-6), row["Code"]
        compared += unit != target
    assert compared >= 50


def test_units_of_one_kind_there_are_of_one_kind_here(open_data: Path) -> None:
    # What the table converts although it takes more than a factor: the instrument, whether
    # by mass or by volume, what CaCO3 stands for.
    more = {"FNU", "ppm", "ppb", "mg/l CaCO3*^"}
    for row in _table(open_data):
        unit, target = _known(row["Code"]), _known(row["Target.Unit"])
        if unit is None or target is None or row["Code"] in WQX_DIFFERS:
            continue
        assert unit.dimension == target.dimension or row["Code"] in more, row["Code"]
