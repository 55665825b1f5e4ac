"""The distinct texts of a column: the same answer every time, also where it is remembered."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.readings import text_codes as module
from chemcheck.readings.text_codes import text_codes


@pytest.mark.parametrize("dtype", ["str", "category", "object"])
def test_codes_of_any_kind_of_text(dtype: str) -> None:
    codes, names = text_codes(pd.Series(["b", None, "a", "b"], dtype=dtype))
    assert [names[code] if code >= 0 else None for code in codes] == ["b", None, "a", "b"]


@pytest.fixture
def long_column(monkeypatch: pytest.MonkeyPatch) -> pd.DataFrame:
    monkeypatch.setattr(module, "_LONG", 3)
    module._memory.clear()
    return pd.DataFrame({"a": ["x", None, "y", "x"], "b": ["x", "y", "y", None]}, dtype="str")


def test_a_long_column_is_looked_through_once(long_column, monkeypatch):
    first = text_codes(long_column["a"])
    monkeypatch.setattr(module, "_factorized", None)
    again = text_codes(long_column["a"])
    assert again[0] is first[0]
    assert again[1] == ("x", "y")


def test_other_texts_have_other_codes(long_column):
    assert text_codes(long_column["a"])[0].tolist() == [0, -1, 1, 0]
    assert text_codes(long_column["b"])[0].tolist() == [0, 1, 1, -1]
    assert text_codes(long_column["a"].iloc[::-1])[0].tolist() == [0, 1, -1, 0]
    changed = long_column.copy()
    changed.loc[0, "a"] = "z"
    assert text_codes(changed["a"])[1] == ("z", "y", "x")


def test_no_more_than_a_few_answers_are_kept(long_column):
    for k in range(3 * module._KEPT):
        text_codes(pd.Series([f"t{k}"] * 5, dtype="str"))
    assert len(module._memory) == module._KEPT


def test_what_is_kept_cannot_be_written_to(long_column):
    codes = text_codes(long_column["a"])[0]
    with pytest.raises(ValueError, match="read-only"):
        codes[0] = 5
    assert np.array_equal(text_codes(long_column["a"])[0], codes)
