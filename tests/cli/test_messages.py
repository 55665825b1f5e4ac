"""What goes to standard error about what was set aside."""

import pandas as pd

from chemcheck.cli.messages import say_set_aside
from chemcheck.readings.record import PROBLEM_COLUMNS


def table(*rows):
    return pd.DataFrame(rows, columns=list(PROBLEM_COLUMNS))


def test_each_kind_is_cut_after_three_and_counted(capsys):
    rows = [("log.csv", k, "pH", "99", "expected 0 to 14", 1) for k in range(2, 9)]
    say_set_aside(table(*rows), None)
    assert capsys.readouterr().err == (
        "set aside: log.csv, row 2, column 'pH': '99': expected 0 to 14\n"
        "set aside: log.csv, row 3, column 'pH': '99': expected 0 to 14\n"
        "set aside: log.csv, row 4, column 'pH': '99': expected 0 to 14\n"
        "set aside: and 4 more like these; --out DIR lists all\n"
    )


def test_kinds_are_cut_and_counted(capsys):
    say_set_aside(
        table(*[("a.csv", 2, "x", "", f"kind {k}", 1) for k in range(20)]), "rejected.csv"
    )
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 13
    assert lines[-1] == "set aside: and 8 more kinds of problem; all in rejected.csv"


def test_a_column_and_a_file_have_no_row(capsys):
    say_set_aside(
        table(
            ("a.csv", None, "hardness", "", "say which unit", 40),
            ("a.csv", float("nan"), None, "", "cut in half", 0),
        ),
        None,
    )
    assert capsys.readouterr().err == (
        "set aside: a.csv, column 'hardness': say which unit\nset aside: a.csv: cut in half\n"
    )


def test_a_cell_cannot_steer_the_terminal(capsys):
    say_set_aside(table(("a.csv", 2, "pH", "\x1b[2J", "expected 0 to 14", 1)), None)
    assert "\x1b" not in capsys.readouterr().err
