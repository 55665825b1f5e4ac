"""Questions put together, and readings written as a person would."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.readings.questions import ask, interval_text, join_questions, no_questions
from chemcheck.readings.record import QUESTION_COLUMNS
from chemcheck.readings.sample_types import OF_THE_LABORATORY, rows_of_type

SAMPLES = pd.DataFrame({"file": ["b.csv", "a.csv", "b.csv"], "row": [9, 2, 4]})


def test_questions_are_joined_in_the_order_of_files_and_rows():
    one = ask(SAMPLES, np.array([0, 1]), "ph", ["9", "8"], "really?")
    two = ask(SAMPLES, np.array([2, 0]), ["iron", "ph"], ["1", "9"], ["rust?", "really?"])
    table = join_questions([one, no_questions(), two])
    assert table[["file", "row", "column"]].values.tolist() == [
        ["b.csv", 4, "iron"], ["b.csv", 9, "ph"], ["a.csv", 2, "ph"],
    ]  # fmt: skip
    assert tuple(table.columns) == QUESTION_COLUMNS


def test_no_questions_have_their_columns_and_types():
    assert tuple(join_questions([]).columns) == QUESTION_COLUMNS
    assert no_questions().dtypes["row"] == "Int64"


@pytest.mark.parametrize(
    ("ends", "text"),
    [((3.14159, 3.14159), "3.142"), ((0, 0.5), "<0.5"), ((300, np.inf), ">300"), ((1, 2), "1 to 2"),
     ((0, 0), "0")],
)  # fmt: skip
def test_interval_text(ends, text):
    assert interval_text(*ends) == text


def test_samples_of_the_laboratory():
    kinds = [
        "routine",
        "blank",
        "duplicate",
        "check standard",
        "spike",
        "premix",
        "quality control",
    ]
    samples = pd.DataFrame({"sample_type": kinds})
    assert rows_of_type(samples, OF_THE_LABORATORY).tolist() == [1, 3, 4, 6]
    assert not rows_of_type(samples, ("fresh fill",)).size
