"""Ditto marks stand for what is above them, and for nothing where that is not known."""

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.errors import Problem
from chemcheck.intake.ditto import blocks, ditto_texts, filled, is_ditto


@pytest.mark.parametrize(
    "text", ['"', "''", " 〃 ", "ditto", "DO.", "idem", "same as above", '- " -', "“"]
)
def test_ditto_marks(text):
    assert is_ditto(text)


@pytest.mark.parametrize("text", ["", "-", "dose", "7", "below", '"7"'])
def test_other_texts(text):
    assert not is_ditto(text)


TEXTS = ['"', "", "7", "ND", "8"]


@given(st.lists(st.integers(0, 4), max_size=30), st.lists(st.integers(2, 40), max_size=4))
def test_every_mark_is_the_row_above(cells, cut):
    texts = pa.array(TEXTS)
    codes = np.array(cells, dtype=np.int32)
    row = np.array([2 + 2 * k for k in range(len(cells))], dtype=np.int64)
    gone = [Problem("a", 2 * one + 1, None, "", "") for one in cut]
    meant = filled(
        codes, ditto_texts(texts), np.array([False, True, False, False, False]), blocks(row, gone)
    )
    for k, code in enumerate(cells):
        # One by one: a mark takes what the row above came to, unless a row between was cut.
        between = k > 0 and any(row[k - 1] < one.row < row[k] for one in gone)
        above = None if k == 0 or between else TEXTS[meant[k - 1]]
        expected = above if code == 0 and above not in (None, "") else TEXTS[code]
        assert TEXTS[meant[k]] == expected
