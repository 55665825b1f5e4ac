"""Maps between units: what must always hold, and what is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.errors import UnitError
from chemcheck.units import convert, linear_map, parse_unit, unit_symbols

UNITS = [parse_unit(symbol) for symbol in unit_symbols()]
KINDS = sorted({unit.dimension for unit in UNITS})
CONCENTRATIONS = [
    unit.symbol
    for unit in UNITS
    if linear_map(unit, unit)
    and unit.dimension
    in (
        "mass concentration",
        "amount concentration",
        "equivalent concentration",
        "as calcium carbonate",
        "mass fraction",
        "amount per mass",
        "equivalent per mass",
    )
]
NUMBERS = st.floats(min_value=-1e9, max_value=1e9)


@given(
    value=NUMBERS,
    pair=st.sampled_from(KINDS).flatmap(
        lambda kind: st.tuples(*[st.sampled_from([u for u in UNITS if u.dimension == kind])] * 2)
    ),
)
def test_conversions_round_trip(value: float, pair: tuple) -> None:
    there = linear_map(*pair)
    assert linear_map(pair[1], pair[0])(there(value)) == pytest.approx(value, rel=1e-9, abs=1e-6)
    assert there.inverse()(there(value)) == pytest.approx(value, rel=1e-9, abs=1e-6)


@given(
    value=NUMBERS,
    units=st.tuples(*[st.sampled_from(CONCENTRATIONS)] * 3),
    molar_mass=st.floats(1, 500),
    charge=st.sampled_from([-3, -2, -1, 1, 2, 3]),
    density=st.floats(0.9, 1.3),
)
def test_the_way_does_not_matter(
    value: float, units: tuple[str, str, str], molar_mass: float, charge: int, density: float
) -> None:
    about = {"molar_mass": molar_mass, "charge": charge, "density": density}
    first, second, third = units
    direct = linear_map(first, third, **about)
    over = linear_map(first, second, **about).then(linear_map(second, third, **about))
    assert over(value) == pytest.approx(direct(value), rel=1e-9, abs=1e-9)


def test_arrays_convert_like_numbers() -> None:
    values = np.array([0.0, -34.0, np.nan, np.inf])
    converted = convert(values, "deg F", "deg C")
    alone = [convert(float(value), "deg F", "deg C") for value in values]
    np.testing.assert_array_equal(converted, alone)


@pytest.mark.parametrize(
    ("pair", "about", "match"),
    [
        (("mmol/L", "mg/L"), {}, "only with a molar mass"),
        (("meq/L", "mg/L"), {"molar_mass": 35.45}, "charge of the ion"),
        (("mg/kg", "mg/L"), {}, "only with a density"),
        (("ppm", "mg/L"), {}, "only with a density"),
        (("psi", "mg/L"), {}, "measures a pressure"),
        (("vol%", "mass%"), {"density": 1.07}, "neither converts"),
        (("%", "vol%"), {}, "neither converts"),
        (("NTU", "FNU"), {}, "neither converts"),
        (("mL 0.1 N acid/10 mL", "mg/L"), {"molar_mass": 100.0, "charge": 1}, "neither"),
    ],
)
def test_what_does_not_convert_is_refused(pair: tuple[str, str], about: dict, match: str) -> None:
    with pytest.raises(UnitError, match=match):
        linear_map(*pair, **about)


def test_ppm_is_read_with_the_density_the_caller_decides_on() -> None:
    assert convert(100, "ppm", "mg/L", density=1.0) == 100
    assert convert(100, "ppm", "mg/L", density=1.07) == pytest.approx(107)
