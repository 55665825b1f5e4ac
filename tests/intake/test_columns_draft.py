"""A drafted columns file reads its file as it was read without."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from chemcheck.errors import IntakeError
from chemcheck.intake import read_columns_file, read_results, suggest_columns

PROJECT = Path(__file__).parents[2]
SAMPLES = ["messy", "undecidable", "lab_wide_comma", "strip_log"]
OPEN_FILES = [
    *("water/IonBalance.csv", "water/MenomineeMajorIons.csv", "water/MiscGW.csv"),
    *("water/hgc_dataset_basic.csv", "wqx/wqx_rivers_timeseries.csv", "wqx/wqp3_results.txt"),
]
LAYOUTS = {
    "banner and units": "Depot,North,\nSample No,Cl,Hours\n,mmol/L,min\nA,1,60\n",
    "names": "a,b\nSample No,Chloride\nid,Cl (mg/L)\nA,5\n",
    "flags": 'No,Sample No,Cl (mg/L),Cl flag,Cl DL (ug/L),<\n1,A,5,<,7,x\n2,B,ND,,700,"y"\n',
    "long": (
        "Bottle,Parameter,Result,Unit,Flag,Note\n1,Silicate,7,mg/L,,x\n1,Silica,7,mg/L,<,y\n"
        "2,Chloride (mg/L),<5,,,z\n2,Smell of it,5,,,\n2,NO3-N,1,mg/L,,\n"
    ),
    "open choices": "Sample No;Date;Silicate (mg/L);Cl mg/L\nA;03/04/25;7;1,234\n",
    "twins": "Sample No,Cl,Cl,Date,Test date\n,mg/L,mmol/L,,\nA,71,2,2025-01-02,2025-01-03\n",
    "odd titles": 'Sample No,"Cl ""x"": {a}, # mg/L",yes,No,Fe\\n,pH\nA,1,2,3,4,7\n',
    "events": (
        "Unit,Date,Event,Fluid,Litres,pH\nT1,2025-01-02,top-up,tap water,2,\nT1,2025-01-03,,,,8\n"
    ),
    "log": 'Unit,Date,Method,pH\n"T1, T2",2025-01-02,strip,7.5\nT3,"""","""",""""\n',
}


def compare(path: Path, tmp_path: Path) -> None:
    draft = suggest_columns(path)
    columns = tmp_path / "draft.yaml"
    columns.write_text(draft, encoding="utf-8")
    assert read_columns_file(columns).layout in ("wide", "long", "wqx")
    plain, drafted = read_results(path), read_results(path, columns)
    assert drafted.columns == plain.columns
    for name in ("lower", "upper", "status", "shared_factor"):
        np.testing.assert_array_equal(getattr(drafted, name), getattr(plain, name))
    pd.testing.assert_frame_equal(drafted.samples, plain.samples)
    for name in ("method", "laboratory", "lot"):
        assert getattr(drafted, name).names == getattr(plain, name).names
        np.testing.assert_array_equal(getattr(drafted, name).codes, getattr(plain, name).codes)
    places = ["file", "row", "column", "text", "cells"]
    pd.testing.assert_frame_equal(drafted.rejected[places], plain.rejected[places])
    pd.testing.assert_frame_equal(drafted.questions, plain.questions)
    counts = [(f.layout, f.rows_read, f.rejected_rows, f.duplicate_rows) for f in plain.files]
    assert counts == [
        (f.layout, f.rows_read, f.rejected_rows, f.duplicate_rows) for f in drafted.files
    ]


@pytest.mark.parametrize("name", SAMPLES)
def test_sample_results(name, tmp_path):
    compare(PROJECT / "sample_results" / f"{name}.csv", tmp_path)


@pytest.mark.parametrize("name", OPEN_FILES)
def test_open_files(open_data, name, tmp_path):
    compare(open_data / name, tmp_path)


@pytest.mark.parametrize("name", LAYOUTS)
def test_every_layout(name, tmp_path):
    path = tmp_path / "a.csv"
    path.write_text(LAYOUTS[name], encoding="utf-8")
    compare(path, tmp_path)


def test_what_is_open_and_taken_for_granted_is_said(tmp_path):
    path = tmp_path / "a.csv"
    path.write_text(LAYOUTS["open choices"], encoding="utf-8")
    draft = suggest_columns(path)
    assert "# Open:\n#   Date: the day or the month first?" in draft
    assert "Silicate (mg/L): 'Silicate (mg/L)' may be written as Si, SiO2: say which" in draft
    assert "# Taken for granted:\n#   material not stated: 1 as water" in draft
    assert "decimal:" not in draft  # nothing proves it
    assert "date_order:" not in draft


def test_nothing_in_a_draft_steers_a_terminal(tmp_path):
    path = tmp_path / "a.csv"
    head = b"Sample No,pH,\x1b[31mred\x1b[0m,bi\xe2\x80\xaedi\n"
    path.write_bytes(head + b"".join(b"A%d,7,1,2\n" % k for k in range(50)))
    draft = suggest_columns(path)
    assert all(character.isprintable() or character == "\n" for character in draft)
    compare(path, tmp_path)


def test_file_without_results(tmp_path):
    path = tmp_path / "a.csv"
    path.write_text("Shelf,Bin\n1,2\n", encoding="utf-8")
    with pytest.raises(IntakeError, match="no column known here"):
        suggest_columns(path)
