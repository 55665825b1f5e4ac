"""Flags and limits beside a result make one cell with it."""

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.intake.cells import parse_cells
from chemcheck.intake.read import read_results
from chemcheck.intake.remarks import with_marks
from chemcheck.readings.record import BLANK, READ, REJECTED


def coded(texts):
    array = pa.array(texts, pa.string()).dictionary_encode()
    return array.dictionary, np.asarray(array.indices, dtype=np.int32)


def one_cell(value: str, flag: str = "", limit: str | None = None) -> str:
    limits = None if limit is None else coded([limit])
    marked = with_marks(coded([value]), coded([flag]), limits)
    return marked.texts[int(marked.codes[0])].as_py()


@pytest.mark.parametrize(
    ("value", "flag", "limit", "cell"),
    [
        ("12", "", "5", "12"),
        ("3", "", "5", "3"),  # what the laboratory reports below its limit is its own word
        ("12", "<", None, "<12"),
        ("<12", "<", None, "<12"),
        ("12", "<", "5", "<12"),
        ("", "<", "5", "<5"),
        ("", "<", None, "ND"),
        ("", "", "5", ""),
        ("-", "U", "5", "<5"),
        ("12", "U", None, "<12"),  # EPA's data review guidelines: the number is the limit
        ("12", "U", "5", "<5"),
        ("12", "not detected", None, "<12"),
        ("0", "U", None, "ND"),
        ("0.00", "<", None, "ND"),
        ("ND", "", "0,5", "<0,5"),
        ("ND", "", "< 0.5", "<0.5"),
        ("< LOD", "", "0.5", "<0.5"),
        ("ND", "", "n/a", "ND"),
        ("300", ">", None, ">300"),
        ("300", "over range", None, ">300"),
        ("", "over range", None, "OVER"),
        ("12", "J", None, "12 J"),
        ("12", "U,J", None, "<12"),
        ("12", "J B", None, "12 J"),
        ("12", "R", None, "12 R"),
        ("", "J", None, ""),
        ("12", "n/a", None, "12"),
        ("12 mg/L", "<", None, "<12 mg/L"),
    ],
)
def test_one_cell(value, flag, limit, cell):
    assert one_cell(value, flag, limit) == cell


def test_unknown_flag_is_asked_about_and_changes_nothing():
    marked = with_marks(coded(["12", "", "13"]), coded(["Q7", "Q7", ""]), None)
    assert marked.texts.take(pa.array(marked.codes)).to_pylist() == ["12", "", "13"]
    assert [(flag, rows.tolist()) for flag, rows in marked.unknown] == [("Q7", [0])]


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["7", "0.25", "", "ND", "-", "<3", "5 mg/L", "x"]),
            st.sampled_from(["", "<", ">", "U", "J", "R", "zz", "n/a"]),
            st.sampled_from(["", "0.5", "2", "-"]),
        ),
        max_size=20,
    )
)
def test_every_row_is_as_if_it_stood_alone(rows):
    values, flags, limits = ([row[k] for row in rows] for k in range(3))
    marked = with_marks(coded(values), coded(flags), coded(limits))
    together = marked.texts.take(pa.array(marked.codes)).to_pylist()
    assert together == [one_cell(*row) for row in rows]
    # What was empty and not flagged as looked for stays empty.
    parsed = parse_cells(together)
    for row, kind in zip(rows, parsed.kind.tolist(), strict=True):
        assert row[0] not in ("", "-") or row[1] in ("<", ">", "U") or kind == BLANK


def test_pairs_in_a_file_read_as_one_column(read_text_of):
    one = read_text_of("Sample No,Cl (mg/L),Fe (mg/L)\nA,<5,1\nB,12,<0.02\nC,,>3\nD,4 R,1 J\n")
    pairs = read_text_of(
        "Sample No,Cl rmk,Cl (mg/L),Fe (mg/L),Fe flag,Fe DL (ug/L)\n"
        "A,<,5,1,,20\nB,,12,,U,20\nC,,,3,>,20\nD,R,4,1,J,20\n"
    )
    for name in ("lower", "upper", "status"):
        np.testing.assert_array_equal(getattr(pairs, name), getattr(one, name))
    assert "2 columns of flags beside results; 1 column of detection limits" in pairs.files[0].found
    assert not any("not known here" in said for said in pairs.assumptions["assumption"])
    assert pairs.rejected["problem"].tolist() == one.rejected["problem"].tolist()
    assert pairs.questions["question"].tolist() == one.questions["question"].tolist()


def test_unknown_flags_of_a_file_are_questions(read_text_of):
    readings = read_text_of("Sample No,Cl,Cl flag\nA,5,K3\nB,6,\n")
    assert readings.status.tolist() == [[READ], [READ]]
    line = readings.questions.iloc[0]
    assert (line["row"], line["column"], line["text"]) == (2, "Cl", "5")
    assert line["question"] == "the flag 'K3' beside it is not known here"


def test_flag_column_without_a_title(read_text_of):
    readings = read_text_of("Sample No,,Cl,pH,\nA,<,5,7,x\nB,,6,7,\n")
    assert readings.upper[:, 0].tolist() == [5, 6]
    assert readings.lower[:, 0].tolist() == [0, 6]


def test_columns_file_names_flags_and_limits(read_text_of):
    text = "Sample No,Cl,Note Cl,Low\nA,5,<,1\nB,,U,1\n"
    columns = "columns:\n  Cl: {analyte: chloride, flag: note  cl, limit: Low}\n"
    readings = read_text_of(text, columns=columns)
    assert readings.upper[:, 0].tolist() == [5, 1]
    assert list(readings.samples.columns[13:]) == []
    wrong = read_text_of(text, columns=columns.replace("Low", "Lowest"))
    assert wrong.rejected["problem"].tolist()[0].startswith("'Lowest' is no column of these files")
    assert wrong.rejected["row"].tolist()[0] == 2
    assert wrong.status.tolist() == [[READ], [REJECTED]]


def test_waters_of_the_open_file(open_data):
    readings = read_results(open_data / "water" / "MenomineeMajorIons.csv")
    assert (readings.status == READ).sum() + (readings.status == BLANK).sum() == 37 * 10
    assert len(readings.rejected) == 0
    fluoride = readings.position("fluoride")
    # The first sample: fluoride "<" 0.1 mg/L.
    assert (readings.lower[0, fluoride], readings.upper[0, fluoride]) == (0, 0.1)
    # Of every '<' in the file one non-detect was made.
    text = (open_data / "water" / "MenomineeMajorIons.csv").read_text()
    assert (readings.lower < readings.upper).sum() == text.count('"<"')
    assert readings.samples["taken_on"].notna().all()
