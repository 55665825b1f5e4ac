"""The CSV files of a check, read back by another program."""

import csv
import io
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from chemcheck.reports import check_rows
from chemcheck.reports.check_csv import RESULT_COLUMNS, VERDICT_COLUMNS, write_check_csv
from tests.reports.checked import HOSTILE, checked


def rows_of(path: Path) -> list[dict[str, str]]:
    text = path.read_bytes().decode("utf-8")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_verdicts_say_what_the_assessment_says(tmp_path: Path) -> None:
    assessment = checked()
    write_check_csv(assessment, tmp_path)
    rows = rows_of(tmp_path / "verdicts.csv")
    assert tuple(rows[0]) == (*VERDICT_COLUMNS, "verdict by second")
    frame = assessment.verdicts
    for name in (
        "verdict",
        "disposition",
        "because",
        "limit_set",
        "outside",
        "undecided",
        "warnings",
        "missing",
    ):
        assert [row[name] for row in rows] == frame[name].tolist()
    assert [row["taken_on"] for row in rows] == [
        "2031-05-01",
        "",
        "2031-05-02",
        "2031-05-03",
        "2031-05-03",
    ]
    assert [row["technology"] for row in rows] == ["hybrid", "", "hybrid", "organic_acid", "hybrid"]
    assert [row["verdict by second"] for row in rows] == [
        "unfit",
        "undecided",
        "unfit",
        "",
        "undecided",
    ]


@pytest.mark.parametrize("all_results", [False, True])
def test_results_say_what_the_assessment_says(tmp_path: Path, all_results: bool) -> None:
    assessment = checked()
    write_check_csv(assessment, tmp_path, all_results=all_results)
    frame = assessment.results
    if not all_results:
        frame = frame[frame["state"] != "inside"].reset_index(drop=True)
    rows = rows_of(tmp_path / "results.csv")
    assert tuple(rows[0]) == RESULT_COLUMNS
    assert len(rows) == len(frame)
    for name in (
        "analyte",
        "basis",
        "unit",
        "state",
        "side",
        "kind",
        "limit_set",
        "source",
        "evidence",
    ):
        assert [row[name] for row in rows] == frame[name].astype("str").fillna("").tolist()
    for name, tolerance in (("lower", 1e-9), ("upper", 1e-9), ("bound", 1e-9), ("u", 1e-3)):
        written = [float(row[name] or "nan") for row in rows]
        expected = frame[name].replace(np.inf, np.nan).tolist()
        assert written == pytest.approx(expected, rel=tolerance, nan_ok=True)
    for end in ("lower", "upper"):
        name = f"probability_outside_{end}"
        written = [float(row[name] or "nan") for row in rows]
        assert written == pytest.approx(frame[name].tolist(), abs=5.1e-5, nan_ok=True)


def test_stretches_do_not_show(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "whole").mkdir()
    (tmp_path / "parts").mkdir()
    write_check_csv(checked(), tmp_path / "whole", all_results=True)
    monkeypatch.setattr(check_rows, "STRETCH", 2)
    monkeypatch.setattr(check_rows, "BLOCK", 3)
    write_check_csv(checked(), tmp_path / "parts", all_results=True)
    for name in ("verdicts.csv", "results.csv"):
        assert (tmp_path / "whole" / name).read_bytes() == (tmp_path / "parts" / name).read_bytes()


def test_free_text_is_never_a_formula(tmp_path: Path) -> None:
    write_check_csv(checked(), tmp_path)
    ids = [row["sample_id"] for row in rows_of(tmp_path / "verdicts.csv")]
    assert ids == ["'" + HOSTILE[0], HOSTILE[1], HOSTILE[2], "'" + HOSTILE[3], HOSTILE[4]]
    assert rows_of(tmp_path / "rejected.csv")[0]["text"] == "'=1+1"
    assert rows_of(tmp_path / "questions.csv")[0]["text"] == "'+SUM(1)"
    # A number stays one, minus sign and all.
    written = pd.read_csv(tmp_path / "results.csv")
    frozen = written[written["analyte"] == "freezing_point"]
    assert frozen["lower"].tolist() == [-34.0, -36.4]


def test_problems_and_questions_stand_in_their_own_files(tmp_path: Path) -> None:
    write_check_csv(checked(), tmp_path)
    assert rows_of(tmp_path / "rejected.csv") == [
        {
            "file": "built.csv",
            "row": "6",
            "column": "Glycol",
            "text": "'=1+1",
            "problem": "expected a number",
            "cells": "1",
        }
    ]
    assert rows_of(tmp_path / "questions.csv")[0]["row"] == ""


def test_nothing_at_all(tmp_path: Path) -> None:
    from chemcheck.assessment.check import check
    from tests.builders import readings

    write_check_csv(check(readings({"glycol": []})), tmp_path)
    assert rows_of(tmp_path / "verdicts.csv") == []
    assert rows_of(tmp_path / "results.csv") == []
