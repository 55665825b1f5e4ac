"""Lines of a table by key; and what a check must not load for its pages."""

import subprocess
import sys
from pathlib import Path

import pandas as pd

from chemcheck.reports.lines_by_key import LinesByKey

PROJECT = Path(__file__).parents[2]


def test_lines_by_two_columns():
    table = pd.DataFrame(
        {
            "file": ["a", "b", "a"],
            "row": pd.array([2, 2, 2], dtype="Int64"),
            "question": ["x", "y", "z"],
        }
    )
    lines = LinesByKey.of(table, "file", "row")
    assert lines.get(("a", 2))["question"].tolist() == ["x", "z"]
    assert lines.get(("a", 3)) is None


def test_nothing_has_no_lines():
    assert LinesByKey.of(None, "file").get(("a",)) is None
    assert LinesByKey.of(pd.DataFrame({"file": []}), "file").get(("a",)) is None


def test_a_check_with_pages_loads_no_estimators(tmp_path):
    file = tmp_path / "tap.csv"
    file.write_text("Unit,pH\nA,7.5\nB,7.6\n", encoding="utf-8")
    code = (
        "import sys\nfrom chemcheck.cli.main import main\n"
        f"main(['check', {str(file)!r}, '--out', {str(tmp_path / 'out')!r}], "
        "standalone_mode=False)\n"
        "heavy = {'sklearn', 'scipy.stats'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=PROJECT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "report.html").exists()
