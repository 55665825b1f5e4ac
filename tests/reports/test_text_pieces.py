"""Numbers and rows put together from pieces."""

import numpy as np
import pyarrow as pa
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.reports.text_pieces import (
    Pieces,
    joined_rows,
    numbers,
    of_texts,
    rounded,
    text_of,
    whole_numbers,
)


def texts(pieces: Pieces) -> list[str]:
    return joined_rows([pieces]).to_pylist()


@settings(max_examples=300, deadline=None)
@given(st.lists(st.floats(allow_nan=False, allow_infinity=False, width=64), min_size=1, max_size=8))
def test_a_number_reads_back_to_ten_digits(values: list[float]) -> None:
    written = [float(text) for text in texts(numbers(np.array(values), "", ""))]
    for value, back in zip(values, written, strict=True):
        assert back == float(f"{value:.10g}") or abs(value) > 1e25 or 0 < abs(value) < 1e-12


def test_numbers_as_a_laboratory_writes_them() -> None:
    values = np.array([0.0, -34.0, 7.25, 1e-5, 1200.0, 0.1 + 0.2, 123456.789])
    assert texts(numbers(values, "", "")) == [
        "0", "-34", "7.25", "0.00001", "1200", "0.3", "123456.789",
    ]  # fmt: skip


def test_digits_of_an_uncertainty() -> None:
    assert texts(numbers(np.array([0.1428571492], dtype=np.float32), "", "", 4)) == ["0.1429"]
    assert rounded(np.array([0.1428571492, 14285.71492]), 4).tolist() == [0.1429, 14290.0]


def test_rows_are_one_after_another() -> None:
    pieces = [
        of_texts(["x", "y", "-"], np.array([0, -1, 1])),
        whole_numbers(np.array([1, 20, 300]), ";"),
    ]
    rows = joined_rows(pieces)
    assert rows.to_pylist() == ["x1;", "-20;", "y300;"]
    assert bytes(text_of(rows)) == b"x1;-20;y300;"
    assert bytes(text_of(rows.slice(1, 1))) == b"-20;"
    assert bytes(text_of(joined_rows([of_texts(["x"], np.array([], dtype=int))]))) == b""


def test_a_slice_of_a_table() -> None:
    table = pa.array(["a", "b", "c"], pa.large_string()).slice(1)
    assert texts(Pieces(table, np.array([1, 0]))) == ["c", "b"]
