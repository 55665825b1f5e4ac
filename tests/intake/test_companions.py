"""Columns of flags and limits are told from others by their titles."""

import pytest

from chemcheck.intake.companions import companions
from chemcheck.intake.headers import read_header


def beside(*titles: str) -> dict[str, str]:
    found = companions(titles, [*map(read_header, titles)])
    return {titles[k]: f"{one.kind} of {titles[one.owner]}" for k, one in found.items()}


@pytest.mark.parametrize(
    ("flag", "limit"),
    [
        ("Chloride.rmk", "Chloride DL"),
        ("Chloride_Qualifier", "Chloride (LOQ)"),
        ("Cl flag", "Cl Reporting Limit"),
        ("Flag Chloride", "MDL Chloride"),
        ("Chlorid Kennzeichen", "Chlorid BG"),
        ("Chloride <", "Chloride limite de détection"),
    ],
)
def test_words_beside_the_title(flag, limit):
    assert beside("Sample No", "Chloride", flag, limit) == {
        flag: "flag of Chloride",
        limit: "limit of Chloride",
    }


def test_nearest_column_of_the_same_title():
    titles = ["Iron, dissolved", "Fe dissolved flag", "Iron, total", "Iron, total flag"]
    assert beside(*titles) == {titles[1]: f"flag of {titles[0]}", titles[3]: f"flag of {titles[2]}"}


def test_limit_in_its_own_unit():
    titles = ["Chloride (mg/L)", "Chloride DL (ug/L)", "Iron (mg/L)", "Iron DL (mg/L)"]
    found = companions(titles, [*map(read_header, titles)])
    assert {place: one.unit for place, one in found.items()} == {1: "ug/L", 3: None}


def test_flags_without_a_name_stand_beside_each_result():
    titles = ["Sample No", "pH", "Flag", "Cl", "Flag"]
    assert [one.owner for one in companions(titles, [*map(read_header, titles)]).values()] == [1, 3]
    titles = ["Sample No", "<", "pH", "<", "Cl"]
    assert [one.owner for one in companions(titles, [*map(read_header, titles)]).values()] == [2, 4]
    # One for the whole sample is not the flag of the result it happens to stand beside.
    assert beside("Sample No", "pH", "Cl", "Flag") == {}


@pytest.mark.parametrize(
    "title",
    ["Remarks", "Shelf flag", "Qualified chloride", "Iron", "pH limit values", "RL", "Q"],
)
def test_other_titles_say_nothing_of_results(title):
    assert beside("Sample No", "pH", "Cl", title) == {}
