"""Titles of columns. Names as met in laboratory files and logs: common practice, no source."""

import pytest

from chemcheck.history.record import EVENT_COLUMNS
from chemcheck.intake.headers import read_header, suggest, usual_role_unit
from chemcheck.intake.word_lists import word_list
from chemcheck.readings.record import SAMPLE_COLUMNS


@pytest.mark.parametrize(
    ("title", "analyte", "unit", "form", "basis"),
    [
        ("Chloride (mg/L)", "chloride", "mg/L", None, None),
        ("Cl ppm", "chloride", "ppm", None, None),
        ("chloride_mg_l", "chloride", "mg/l", None, None),
        ("Chloride, dissolved (mg/L)", "chloride", "(mg/L)", None, None),
        ("Sulfate result, ppm", "sulfate", "ppm", None, None),
        ("Sulphate in mg/L", "sulfate", "mg/L", None, None),
        ("Chlorures [mg/L]", "chloride", "mg/L", None, None),
        ("NO3-N [mg/L]", "nitrate", "mg/L", "N", None),
        ("NO2 (as N) mg/L", "nitrite", "mg/L", "N", None),
        ("Nitrat mg/l", "nitrate", "mg/l", None, None),
        ("SiO2 mg/L", "silicon", "mg/L", "SiO2", None),
        ("TH °dH", "total_hardness", "°dH", None, None),
        ("Gesamthärte (°dH)", "total_hardness", "°dH", None, None),
        ("Dureza total mg/L CaCO3", "total_hardness", "mg/L CaCO3", None, None),
        ("pH", "ph", None, None, None),
        ("pH (50 %)", "ph", None, None, "diluted"),
        ("pH neat", "ph", None, None, "neat"),
        ("Fe dissolved mg/L", "iron", "mg/L", None, "dissolved"),
        ("Iron, total (mg/L)", "iron", "mg/L", None, "digested"),
        ("%EG", "glycol", "%", None, None),
        ("Glycol mass %", "glycol", "mass %", None, "by_mass"),
        ("Freeze °F", "freezing_point", "°F", None, None),
        ("RA mL", "reserve_alkalinity", "mL", None, None),
        ("cond_us_cm", "conductivity", "us/cm", None, None),
        ("Foam mL", "foam_volume", None, None, None),
        ("Foam", "foam", None, None, None),
    ],
)
def test_a_title_says_analyte_unit_form_and_basis(title, analyte, unit, form, basis):
    header = read_header(title)
    assert (header.analyte, header.unit_text, header.form, header.basis) == (
        analyte,
        unit,
        form,
        basis,
    )
    assert header.role is None
    assert header.title == title


@pytest.mark.parametrize(
    ("title", "role", "unit"),
    [
        ("Sample No", "sample_id", None),
        ("Lab #", "sample_id", None),
        ("Unit ID", "unit_id", None),
        ("Date Sampled", "taken_on", None),
        ("Probenahmedatum", "taken_on", None),
        ("Hrs", "hours", None),
        ("SMU", "hours", None),
        ("km", "distance", "km"),
        ("Odometer (mi)", "distance", "mi"),
        ("Mileage (km)", "distance", "km"),
        ("Mileage", "distance", "mi"),
        ("Material", "material", None),
        ("Technology", "technology", None),
        ("Fluid", "fluid", None),
        ("Method", "method", None),
        ("Lab", "laboratory", None),
        ("Strip lot", "lot", None),
        ("Event", "event", None),
        ("Volume (L)", "litres", "L"),
        ("Gallons added", "litres", "US gal"),
    ],
)
def test_a_title_says_what_a_column_is_of_its_sample(title, role, unit):
    header = read_header(title)
    assert (header.role, header.unit_text, header.analyte) == (role, unit, None)


@pytest.mark.parametrize(
    "title",
    [
        "",
        "Chlorine mg/L",
        "Total phosphorus mg/L",
        "Date Received",
        "Hours on fluid",
        "Value",
        "Free chloride",
        "Odometer (mg/L)",
        "x" * 500,
    ],
)
def test_a_title_that_is_not_known_is_not_guessed(title):
    assert not read_header(title).known


def test_where_practice_is_split_the_choices_are_named():
    assert read_header("silicate (mg/L)").choices == ("Si", "SiO2")
    assert read_header("silicate as SiO2 mg/L").choices == ()


def test_the_nearest_name_is_a_suggestion_only():
    header = read_header("Chloryde (mg/l)")
    assert not header.known
    assert suggest(header) == "chloride"
    assert suggest(read_header("Shelf")) is None
    assert not read_header("Depot").known


def test_every_role_is_a_column_that_records_have():
    roles = set(word_list("sample_columns")["roles"])
    assert roles <= {*SAMPLE_COLUMNS, *EVENT_COLUMNS, "method", "laboratory", "lot"}
    assert {*SAMPLE_COLUMNS} - {"file", "row"} <= roles
    assert {*EVENT_COLUMNS} - {"file", "row", "date"} <= roles


def test_numbers_of_a_sample_have_a_usual_unit():
    assert [usual_role_unit(role) for role in ("hours", "distance", "days", "litres", "note")] == [
        "h",
        "km",
        "d",
        "L",
        None,
    ]
