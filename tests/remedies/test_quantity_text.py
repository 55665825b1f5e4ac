"""Quantities in words: what is read, and what gets one clear line."""

import pytest

from chemcheck.errors import QuantityError
from chemcheck.remedies.level_text import find_component, read_level, read_named_level
from chemcheck.remedies.pressure_text import read_air_pressure, read_altitude, read_cap
from chemcheck.remedies.quantity_text import (
    read_amount,
    read_number,
    read_temperature,
    split_readings,
    states_unit,
)
from chemcheck.remedies.share_text import read_efficiency, read_share


def volume(text):
    return read_amount(text, "--drains", "L", "8 L")


@pytest.mark.parametrize(
    ("text", "lower", "upper"),
    # Units of NIST SP 811.
    [
        ("8 L", 8, 8),
        ("8-9 L", 8, 9),
        ("8 ± 0.5 L", 7.5, 8.5),
        ("8 to 9 litres", 8, 9),
        ("2,5 L", 2.5, 2.5),
        ("2 US gal", 7.570823568, 7.570823568),
        ("<9 L", 0, 9),
        ("800 mL", 0.8, 0.8),
    ],
)
def test_a_volume_is_read_with_its_interval(text, lower, upper):
    found = volume(text)
    assert (float(found.lower), float(found.upper)) == pytest.approx((lower, upper))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("8", "--drains '8' states no unit: write it behind, as in '8 L'"),
        ("8 kg", "kg measures a mass, L a volume"),
        ("8 Lx", "'Lx' is no unit known here"),
        ("eight", "--drains 'eight': expected a number"),
        (">8 L", "--drains '>8 L' has no other end"),
        ("1,200 L", "can be read in two ways: write '1200 L' or '1.200 L'"),
        ("9-8 L", "the range runs backwards"),
    ],
)
def test_what_is_no_volume_gets_one_line(text, said):
    with pytest.raises(QuantityError) as caught:
        volume(text)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("text", "share", "by"),
    [
        ("50", 50, ""),
        ("50 %", 50, ""),
        ("50/50", 50, ""),
        ("1:1", 50, ""),
        ("50 vol%", 50, "volume"),
        ("0.5 vol%", 0.5, "volume"),
        ("0.5 fraction", 50, ""),
    ],
)
def test_a_share_is_read(text, share, by):
    found, counted_by = read_share(text, "--target")
    assert (float(found.value), counted_by) == (share, by)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0.5", "can be 50 % or 0.5 %: write '50 %' or '0.5 vol%'"),
        ("0.5 %", "can be 50 % or 0.5 %"),
        ("0.47", "can be 47 % or 0.47 %: write '47 %' or '0.47 vol%'"),
        ("150 %", "is not from 0 to 100 %"),
        ("-5 %", "is not from 0 to 100 %"),
        ("2:1", "concentrate or water first?"),
        ("50 mass%", "counts by mass: give it by volume"),
        ("12 L", "expected a share"),
    ],
)
def test_what_is_no_share_gets_one_line(text, said):
    with pytest.raises(QuantityError) as caught:
        read_share(text, "--target")
    assert said in str(caught.value)


def test_half_a_per_cent_of_residue_is_sound_when_it_says_so():
    assert float(read_share("0.5 %", "--target", of_a_mix=False)[0].value) == 0.5
    with pytest.raises(QuantityError, match=r"write '50 %' or '0.5 %'"):
        read_share("0.5", "--target", of_a_mix=False)


def test_share_by_mass_where_it_is_asked_for():
    assert read_share("50 mass%", "--glycol-percent", by_mass=True)[1] == "mass"


@pytest.mark.parametrize(("text", "share"), [("0.8", 0.8), ("1", 1.0), ("80 %", 0.8), ("80", 0.8)])
def test_an_efficiency_of_one_is_perfect(text, share):
    assert float(read_efficiency(text, "--efficiency").value) == pytest.approx(100 * share)


def test_temperatures():
    found = read_temperature("-34 °F", "--coldest", "-30 C")
    assert float(found.value) == pytest.approx(-36.667, abs=0.001)
    with pytest.raises(QuantityError, match="can be C or F: write '-34 C' or '-34 F'"):
        read_temperature("-34", "--coldest", "-30 C")
    with pytest.raises(QuantityError, match="below absolute zero"):
        read_temperature("-300 C", "--coldest", "-30 C")
    assert float(read_temperature("-30", "--coldest", "-30 C", bare_celsius=True).value) == -30.0
    assert not states_unit("-30")


@pytest.mark.parametrize(
    ("text", "kilopascal"),
    [("15 psi", 103.42), ("1.03 bar", 103.0), ("103 kPa gauge", 103.0), ("200 kPa gauge", 200.0)],
)
def test_a_cap_is_gauge(text, kilopascal):
    assert float(read_cap(text).value) == pytest.approx(kilopascal, abs=0.01)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        # 204.7 kPa less 101.325 of air, by subtraction.
        ("204.7 kPa abs", "absolute, and a cap is rated above the air's pressure: at sea level "
                          "write '103 kPa'"),
        ("29.7 psia", "write '103 kPa'"),
        ("2 bar(a)", "write '99 kPa'"),
        ("205 kPa", "is high for a cap: write '104 kPa' if it is absolute, or '205 kPa gauge'"),
        ("5000 kPa gauge", "more than any cap holds"),
        ("-3 psi", "below zero"),
        ("15", "states no unit"),
        ("15 L", "L measures a volume"),
    ],
)  # fmt: skip
def test_gauge_and_absolute_are_told_apart(text, said):
    with pytest.raises(QuantityError) as caught:
        read_cap(text)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_heights():
    assert float(read_altitude("8200 ft").value) == pytest.approx(2499.4, abs=0.1)
    assert float(read_altitude("-400 m").value) == -400.0
    with pytest.raises(QuantityError, match="below the shores of the Dead Sea"):
        read_altitude("-500 m")
    with pytest.raises(QuantityError, match="above 11,000 m"):
        read_altitude("12 km")
    with pytest.raises(QuantityError, match="states no unit"):
        read_altitude("2500")


def test_pressure_of_the_air():
    assert float(read_air_pressure("14.7 psia").value) == pytest.approx(101.35, abs=0.01)
    with pytest.raises(QuantityError, match="no pressure of the air"):
        read_air_pressure("3 psi")


def test_levels_and_their_names():
    assert float(read_level("60 g/L", "--strength", "nitrite").value) == 60000.0
    assert read_named_level("Cl = 85 mg/L", "--tap")[0] == "chloride"
    with pytest.raises(QuantityError, match="name and value"):
        read_named_level("85 mg/L", "--tap")
    with pytest.raises(QuantityError, match="--tap: 'chlorid x' is no analyte"):
        read_named_level("chlorid x=85 mg/L", "--tap")
    with pytest.raises(QuantityError, match="--strength '60 V'"):
        read_level("60 V", "--strength", "nitrite")
    with pytest.raises(QuantityError, match="states no unit"):
        read_level("60", "--strength", "nitrite")
    assert find_component("NO2", "--component") == "nitrite"


def test_numbers_have_no_unit():
    assert float(read_number("1.3866", "--refractive-index", "1.3866").value) == 1.3866
    with pytest.raises(QuantityError, match="C measures a temperature"):
        read_number("1.3866 C", "--refractive-index", "1.3866")


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("50; 16.7; 5.6 %", ("50 %", "16.7 %", "5.6 %")),
        ("50 %, 16.7 %", ("50 %", "16.7 %")),
        ("4200, 1450 uS/cm", ("4200 uS/cm", "1450 uS/cm")),
        ("50; 16,7 %", ("50 %", "16,7 %")),
        ("50,16.7,5.6 %", ("50 %", "16.7 %", "5.6 %")),
        ("2100,760,90 uS/cm", ("2100 uS/cm", "760 uS/cm", "90 uS/cm")),
    ],
)
def test_readings_are_parted(text, parts):
    assert split_readings(text, "--readings") == parts


def test_one_reading_or_doubtful_commas_are_refused():
    for text in ("50 %", "50,17", "300,150,100 uS/cm"):
        with pytest.raises(QuantityError, match="two readings or more parted by ';'"):
            split_readings(text, "--readings")
