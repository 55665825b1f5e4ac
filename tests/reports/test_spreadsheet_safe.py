"""Free text in CSV files."""

import csv
import io

import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.reports.spreadsheet_safe import csv_fields, without_formulas


# OWASP, CSV injection (published; its list of first characters from memory), and the
# full-width forms that spreadsheets in East Asian locales accept.
@pytest.mark.parametrize(
    "text",
    ["=1+1", "+1+1", "-1+1", "@SUM(1)", "\t=1", "\r=1", "\n=1", " =1", "＝1", "＋1", "－1+2", "＠x",
     "=HYPERLINK(\"http://x\")", "-2+3+cmd|' /C calc'!A0", "\x00=1", "\xa0=1", "\u3000=1"],
)  # fmt: skip
def test_formulas_become_text(text: str) -> None:
    assert without_formulas(pa.array([text])).to_pylist() == ["'" + text]


@pytest.mark.parametrize(
    "text", ["A-7", "a=b", "-34", "+49", "-0.5", "-0,5", "", "x@y", "'=1", "−5"]
)
def test_the_rest_stays(text: str) -> None:
    assert without_formulas(pa.array([text, "ordinary"])).to_pylist()[0] == text


def test_null_is_an_empty_field() -> None:
    assert csv_fields(pa.array([None, "a"], pa.string())).to_pylist() == ["", "a"]
    assert csv_fields(pa.array([], pa.large_string())).to_pylist() == []


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.text(st.characters(codec="utf-8"), max_size=12), min_size=1, max_size=5),
    st.integers(0, 3),
)
def test_a_csv_reader_reads_back_what_was_written(texts: list[str], cut: int) -> None:
    whole = pa.array(texts)
    fields = csv_fields(whole.slice(min(cut, len(texts) - 1))).to_pylist()
    line = ",".join(["first", *fields]) + "\n"
    read = next(csv.reader(io.StringIO(line, newline="")))
    for field, text in zip(read[1:], texts[min(cut, len(texts) - 1) :], strict=True):
        assert field in (text, "'" + text)
        assert not field.startswith(("=", "@", "\t", "\r", "\n"))
