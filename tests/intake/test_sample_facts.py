"""What a free column states of a sample: by its title, or by the word of a columns file."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.check import check
from chemcheck.errors import LimitFileError
from chemcheck.intake import read_columns_file, read_results, suggest_columns
from chemcheck.intake.sample_facts import (
    fact_column,
    fact_names,
    fact_numbers,
    fact_of_title,
    fact_texts,
    free_title,
)


@pytest.fixture
def read(tmp_path):
    def made(table: str, columns: str = ""):
        file, own = tmp_path / "log.csv", tmp_path / "ours.yaml"
        file.write_text(table, encoding="utf-8")
        own.write_text(columns, encoding="utf-8")
        return read_results(file, own if columns else None)

    return made


@pytest.mark.parametrize("fact", fact_names())
def test_every_fact_can_be_named_in_a_columns_file(read, fact):
    readings = read("Unit,pH,Zettel\nA,8.2,x\n", f"columns:\n  Zettel: {fact}\n")
    assert fact_column(readings.samples, fact) == f"Zettel (= {fact})"
    _, texts = fact_texts(readings.samples, fact)
    assert texts == ("x",)


def test_a_unit_that_the_title_does_not_have(read):
    table = "Unit,pH,Seit (h)\nA,8.2,90\nB,8.2,3 h\n"
    stated = "columns:\n  Seit (h): {fact: hours_since_top_up, unit: min}\n"
    samples = read(table, stated).samples
    assert "Seit (min) (= hours_since_top_up)" in samples
    assert fact_numbers(samples, "hours_since_top_up", "h").tolist() == [1.5, 3.0]


def test_the_users_word_comes_before_a_title(read):
    samples = read("Unit,pH,Depot,Werk\nA,8.2,x,y\n", "columns:\n  Werk: depot\n").samples
    assert fact_texts(samples, "depot")[1] == ("y",)


def test_a_title_that_only_seems_to_state_something(read):
    samples = read("Unit,pH,Tank\nA,8.2,fuel\n", "columns:\n  Tank: text\n").samples
    assert fact_column(samples, "bulk_tank") is None
    assert samples["Tank (= text)"].tolist() == ["fuel"]
    assert fact_column(read("Unit,pH,Tank\nA,8.2,fuel\n").samples, "bulk_tank") == "Tank"


def test_a_title_that_says_the_same_stays(read):
    assert "Depot" in read("Unit,pH,Depot\nA,8.2,x\n", "columns:\n  Depot: depot\n").samples


def test_what_is_stated_counts(read):
    # Taken half an hour after a top-up, said under a title that nobody knows.
    table = "Unit,Technology,pH,Glycol %,Seit\nA,hybrid,8.2,50,30\n"
    stated = "columns:\n  Seit: {fact: hours_since_top_up, unit: min}\n"
    assert check(read(table)).verdicts["verdict"].tolist() == ["fit"]
    doubted = check(read(table, stated))
    assert doubted.verdicts["verdict"].tolist() == ["undecided"]
    assert "before the last top-up had mixed in" in doubted.verdicts["because"][0]


def test_long_tables_have_them_too(read):
    table = "Bottle,Parameter,Result,Unit,Werk\n1,pH,8.2,,Nord\n1,Chloride,5,mg/L,Nord\n"
    samples = read(table, "columns:\n  Werk: depot\n").samples
    assert fact_texts(samples, "depot")[1] == ("Nord",)


def test_a_draft_names_them(tmp_path):
    file = tmp_path / "log.csv"
    file.write_text("Unit,pH,Depot,Concentrate lot,Shelf\nA,8.2,x,y,z\n", encoding="utf-8")
    draft = suggest_columns(file)
    assert "  Depot: depot\n" in draft
    assert '  "Concentrate lot": concentrate_lot\n' in draft
    assert "  Shelf: text\n" in draft
    own = tmp_path / "ours.yaml"
    own.write_text(draft, encoding="utf-8")
    pd.testing.assert_frame_equal(read_results(file, own).samples, read_results(file).samples)


@pytest.mark.parametrize(
    ("entry", "problem"),
    [
        ("{fact: depot, unit: km}", "depot is no number and has no unit"),
        ("{fact: hours_since_top_up, unit: mg/L}", "mg/L"),
        ("{fact: distance, unit: bar}", "bar"),
        ("{fact: depott}", "'depott' is no fact of a sample known here; nearest: depot"),
    ],
)
def test_what_cannot_be_stated(tmp_path, entry, problem):
    own = tmp_path / "ours.yaml"
    own.write_text(f"columns:\n  Werk: {entry}\n", encoding="utf-8")
    with pytest.raises(LimitFileError, match=problem):
        read_columns_file(own)


def test_titles_with_a_word_of_the_user():
    assert fact_of_title("Werk (= depot) (2)") == "depot"
    assert fact_of_title("Werk (= nothing known)") is None
    assert free_title("Seit", "hours_since_top_up", "min") == "Seit (min) (= hours_since_top_up)"
    samples = pd.DataFrame({"Seit (= hours_since_top_up)": ["2", None]})
    np.testing.assert_array_equal(fact_numbers(samples, "hours_since_top_up", "h"), [2.0, np.nan])
