"""Swapped columns, cells and rows moved by one."""

import numpy as np

from chemcheck.fills.history_checks import check_histories
from tests.readings.build import readings_of

COLUMNS = ["nitrite", "chloride", "sodium", "boron", "azoles", "iron"]
LEVELS = {
    "A": [1200, 10, 3000, 400, 600, 4],
    "B": [700, 25, 1200, 150, 900, 9],
    "C": [450, 60, 700, 260, 300, 20],
}


def fleet(seed=1):
    """Six months of three units, one after the other in the file as they came in."""
    random = np.random.default_rng(seed)
    units = ["A", "B", "C"] * 6
    rows = np.array([LEVELS[unit] for unit in units], dtype=float)
    rows *= 1 + 0.02 * random.standard_normal(rows.shape)
    samples = {
        "unit_id": units,
        "taken_on": [f"2031-{1 + k // 3:02}-{3 + k % 3:02}" for k in range(18)],
        "technology": "hybrid",
    }
    return samples, rows


def asked(samples, rows, upper=None):
    return check_histories(readings_of(samples, COLUMNS, rows, upper)).questions


def test_nothing_moved_nothing_asked():
    assert not len(asked(*fleet()))


def test_two_columns_exchanged():
    samples, rows = fleet()
    rows[4, [2, 3]] = rows[4, [3, 2]]
    [row] = asked(samples, rows).to_dict("records")
    assert (row["row"], row["column"]) == (6, "sodium")
    assert row["question"] == (
        "sodium and boron fit the unit's history once they are exchanged: were two columns swapped?"
    )


def test_exchanged_with_a_non_detect():
    samples, rows = fleet()
    upper = rows.copy()
    rows[:, 5], upper[:, 5] = 0.0, 1.0  # iron is never found
    rows[4, [2, 5]], upper[4, [2, 5]] = rows[4, [5, 2]], upper[4, [5, 2]]
    [row] = asked(samples, rows, upper).to_dict("records")
    assert "sodium and iron" in row["question"]


def test_cells_moved_along_the_row():
    samples, rows = fleet()
    rows[4, 2:] = rows[4, 1:-1].copy()
    rows[4, 1] = np.nan
    [row] = asked(samples, rows).to_dict("records")
    assert row["row"] == 6
    assert "fit one column to the right of where they belong" in row["question"]


def test_rows_moved_down():
    samples, rows = fleet()
    rows[7:10] = rows[6:9].copy()
    table = asked(samples, rows)
    assert table["row"].tolist() == [9, 10, 11]
    assert table["question"][0].startswith("these readings fit A in row 8: were rows moved")


def test_two_bottles_swapped():
    samples, rows = fleet()
    rows[[4, 5]] = rows[[5, 4]]
    table = asked(samples, rows)
    assert table["row"].tolist() == [6, 7]
    assert set(table["column"]) == {"unit_id"}
