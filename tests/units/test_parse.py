"""Spellings of units and quantities."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.errors import UnitError
from chemcheck.units import parse_quantity, parse_unit, unit_symbols


@pytest.mark.parametrize(
    ("text", "symbol"),
    [
        ("mg/l", "mg/L"),
        (" MG / L ", "mg/L"),
        ("mg·L⁻¹", "mg/L"),
        ("mg L-1", "mg/L"),
        ("mg.L^-1", "mg/L"),
        ("milligrams per litre", "mg/L"),
        ("µg/L", "ug/L"),  # micro sign
        ("μg/L", "ug/L"),  # Greek mu
        ("mcg/L", "ug/L"),
        ("ｍｇ/Ｌ", "mg/L"),  # full width
        ("mg⁄L", "mg/L"),  # fraction slash
        ("µS/cm", "uS/cm"),
        ("uS/cm @25C", "uS/cm"),
        ("umho/cm", "uS/cm"),
        ("mS/cm", "mS/cm"),
        ("MS/CM", "mS/cm"),
        ("mS/m", "mS/m"),
        ("°dH", "dH"),
        ("° dH", "dH"),
        ("º dH", "dH"),  # masculine ordinal typed for a degree sign
        ("German degrees", "dH"),
        ("grains per gallon", "gpg"),
        ("°f", "fH"),
        ("°F", "deg F"),
        ("℃", "deg C"),
        ("degrees C", "deg C"),
        ("deg. C", "deg C"),
        ("M", "mol/L"),
        ("mM", "mmol/L"),
        ("m", "m"),
        ("Vol.-%", "vol%"),
        ("% (v/v)", "vol%"),
        ("% by wt", "mass%"),
        ("Gew.-%", "mass%"),
        ("%", "%"),
        ("ppm", "ppm"),
        ("mg/l CaCO3", "mg/L as CaCO3"),
        ("U.S. gal.", "US gal"),
        ("imp. gal", "imp gal"),
        ("quarts", "US qt"),
        ("Hrs", "h"),
        ("months", "month"),
        ("inch", "in"),
        ('"', "in"),
        ("psi (g)", "psi"),
        ("mval/L", "meq/L"),
        ("CFU/100 mL", "CFU/100mL"),
    ],
)
def test_spellings(text: str, symbol: str) -> None:
    assert parse_unit(text).symbol == symbol


@pytest.mark.parametrize("text", ["tons/ac ft", "tons/day", "ppt", "°", "", "mg", "MM"])
def test_what_is_no_single_unit_is_refused(text: str) -> None:
    if text == "mg":
        assert parse_unit(text).dimension == "mass"
        return
    with pytest.raises(UnitError, match="is no unit known here"):
        parse_unit(text)


@pytest.mark.parametrize("symbol", unit_symbols())
def test_every_symbol_finds_itself(symbol: str) -> None:
    assert parse_unit(symbol).symbol == symbol
    assert parse_unit(f" {symbol} ") is parse_unit(f" {symbol} ")


@pytest.mark.parametrize(
    ("text", "value", "symbol"),
    [
        ("12 L", 12.0, "L"),
        ("15psi", 15.0, "psi"),
        ("18 gpg", 18.0, "gpg"),
        ("2,5 US gal", 2.5, "US gal"),
        ("−34 °F", -34.0, "deg F"),
        ("+1.2e3 mg/L", 1200.0, "mg/L"),
        ("0,500 L", 0.5, "L"),
        ("1200,5 km", 1200.5, "km"),
        (".5 qt", 0.5, "US qt"),
        ("50%", 50.0, "%"),
    ],
)
def test_quantities(text: str, value: float, symbol: str) -> None:
    number, unit = parse_quantity(text)
    assert (number, unit.symbol) == (value, symbol)


def test_a_default_unit_is_used_only_where_none_is_written() -> None:
    assert parse_quantity("12", default="L")[1].symbol == "L"
    assert parse_quantity("12 qt", default="L")[1].symbol == "US qt"


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("twelve", "expected a number with its unit"),
        ("12", "states no unit"),
        ("1,200 L", "can be read as 1200 or 1.200"),
        ("12 buckets", "'buckets' is no unit"),
        ("1.200.000 L", "is no unit"),
        ("", "expected a number"),
    ],
)
def test_quantities_refused(text: str, match: str) -> None:
    with pytest.raises(UnitError, match=match):
        parse_quantity(text)


@given(st.text(max_size=100))
def test_any_text_is_a_unit_or_one_clear_line(text: str) -> None:
    said = []
    for read in (parse_unit, parse_quantity):
        try:
            read(text)
        except UnitError as error:
            said.append(str(error))
    assert all(len(line.splitlines()) == 1 for line in said)


def test_a_very_long_text_is_refused_at_once() -> None:
    with pytest.raises(UnitError, match="is no unit known here"):
        parse_unit("mg/L " * 200_000)
