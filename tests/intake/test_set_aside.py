"""Tables of what was set aside."""

import numpy as np
import pyarrow as pa

from chemcheck.errors import Problem
from chemcheck.intake.set_aside import ColumnLine, FileLines, Lines, rejected_table, row_lines


def test_rows_in_order_whole_columns_first():
    rows = row_lines([Problem("a.csv", 9, None, "x,y", "cut short")])
    text = pa.array(["a" * 1000, "b"])
    cells = Lines("pH", np.array([12, 3]), text, pa.array(["no", "no"]), np.array([10, 1]))
    column = ColumnLine("TH", np.array([0, 1, 10]), "5", "no unit")
    kept = np.ones(11, dtype=bool)
    table = rejected_table("a.csv", FileLines([rows], [column], [cells]), kept)
    assert table["row"].isna().tolist() == [True, False, False, False]
    assert table["row"].tolist()[1:] == [3, 9, 12]
    assert table["cells"].tolist() == [3, 1, 0, 1]
    assert table["text"].str.len().max() == 200
    kept[10] = False
    table = rejected_table("a.csv", FileLines([rows], [column], [cells]), kept)
    assert table["cells"].tolist() == [2, 1, 0]


def test_no_line_for_a_column_of_which_no_sample_is_kept():
    column = ColumnLine("TH", np.array([0]), "5", "no unit")
    assert not len(rejected_table("a.csv", FileLines(columns=[column]), np.zeros(1, dtype=bool)))
