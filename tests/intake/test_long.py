"""Tables with a row for each result."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.errors import IntakeError, LimitFileError
from chemcheck.intake.read import read_results
from chemcheck.readings.record import ABSENT, BLANK, READ, REJECTED

HEAD = "Sample No,Date,Material,Parameter,Result,Unit\n"
A = "A,2025-04-03,water,"
B = "B,2025-04-04,coolant,"
ROWS = (
    f"{A}pH,7.8,-\n{A}Chloride,40,mg/L\n{A}Nitrate,2,mg/L as N\n{A}Iron,<0.02,mg/L\n"
    f"{B}Glycol,48,%\n{B}pH,8.2,\n{B}Nitrite,400,mg/kg\n"
)


def values(readings) -> dict[tuple[str, str], tuple[float, float]]:
    """Return the ends of each reading by sample and analyte."""
    found = {}
    for i, sample in enumerate(readings.samples["sample_id"]):
        for j, column in enumerate(readings.columns):
            if readings.status[i, j] == READ:
                found[sample, column.analyte] = (readings.lower[i, j], readings.upper[i, j])
    return found


def accounted(readings) -> None:
    """Check that every row of every file is a cell, a duplicate or rejected."""
    for file in readings.files:
        of_file = (readings.samples["file"] == file.name).to_numpy()
        cells = int((readings.status[of_file] != ABSENT).sum())
        assert file.rows_read == cells + file.duplicate_rows + file.rejected_rows


def test_rows_become_samples(read_text_of):
    readings = read_text_of(HEAD + ROWS)
    assert readings.files[0].layout == "long"
    assert "2 samples from 7 results" in readings.files[0].found
    assert readings.samples["sample_id"].tolist() == ["A", "B"]
    assert readings.samples["row"].tolist() == [2, 6]
    assert readings.samples["material"].tolist() == ["water", "coolant"]
    found = values(readings)
    assert found["A", "chloride"] == (40, 40)
    assert found["A", "iron"] == (0, 0.02)
    # Nitrate as N times 62.004/14.007 (IUPAC abridged atomic weights 2021).
    np.testing.assert_allclose(found["A", "nitrate"], 2 * 62.004 / 14.007, rtol=1e-5)
    # mg/kg of a coolant of 48 vol%: times densities from 1.04 (propylene) to 1.08 (ethylene).
    low, high = found["B", "nitrite"]
    assert 1.03 * 400 < low < 1.05 * 400 < high < 1.08 * 400
    accounted(readings)


@pytest.mark.parametrize(
    "head",
    [
        "Lab No,Date Sampled,Matrix,Analyte,Value,Units",
        "Probennummer,Datum,Material,Messgröße,Messwert,Einheit",
        "échantillon,date de prélèvement,matrice,paramètre,résultat,unité",
        "muestra,fecha,matriz,parámetro,resultado,unidad",
        "Bottle,Sampled,Matrix,Determinand,Reported Result,UOM",
    ],
)
def test_column_names_of_laboratories(read_text_of, head):
    readings = read_text_of(f"{head}\n{ROWS}")
    assert values(readings) == values(read_text_of(HEAD + ROWS))


def test_banner_above_and_order_of_rows_do_not_matter(read_text_of):
    shuffled = "".join(sorted(ROWS.splitlines(keepends=True), key=len))
    readings = read_text_of("Report 17,,,,,\n,,,,,\n" + HEAD + shuffled)
    assert values(readings) == values(read_text_of(HEAD + ROWS))
    assert "header in row 3" in readings.files[0].found


def test_unit_may_be_a_machine(read_text_of):
    readings = read_text_of(
        "Unit,Date,Test,Result,UOM\nT1,2025-01-02,pH,8,\nT2,2025-01-02,pH,9,\nT1,2025-01-02,Cl,5,mg/L\n"
    )
    assert readings.samples["unit_id"].tolist() == ["T1", "T2"]
    readings = read_text_of("Unit,Date,Test,Result\nT1,2025-01-02,pH,8\nT2,2025-01-02,Cl,9\n")
    assert readings.samples["unit_id"].tolist() == ["T1", "T2"]
    readings = read_text_of("Unit,Date,Test,Result,Unit\nT1,2025-01-02,Cl,8,mmol/L\n")
    assert readings.samples["unit_id"].tolist() == ["T1"]
    np.testing.assert_allclose(readings.lower, [[8 * 35.45]], rtol=1e-3)


def test_unit_form_and_fraction(read_text_of):
    readings = read_text_of(
        "Sample No,Parameter,Fraction,As,Result,Unit\n"
        "A,Iron,Dissolved,,1,mg/L\nA,Iron,Total,,2,mg/L\nA,Nitrate,Total,N,3,mg/L\n"
        "A,Silicate,,SiO2,10,mg/L\nA,Copper (ug/L),,,50,\nA,Lead,Suspended,,1,mg/L\n"
        "A,Zinc,Odd,,1,mg/L\n"
    )
    found = {
        (c.analyte, c.basis): readings.lower[0, k]
        for k, c in enumerate(readings.columns)
        if readings.status[0, k] == READ
    }
    assert found["iron", "dissolved"] == 1
    assert found["iron", "digested"] == 2
    assert found["copper", "dissolved"] == 0.05
    np.testing.assert_allclose(found["nitrate", None], 3 * 62.004 / 14.007, rtol=1e-5)
    np.testing.assert_allclose(found["silicon", None], 10 * 28.085 / 60.083, rtol=1e-5)
    assert readings.rejected["problem"].tolist() == [
        "'Suspended' is only a part of the sample",
        "'Odd' is no sample fraction known here",
    ]
    accounted(readings)


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        ("A,Chloride (mg/L),3,mmol/L", "mg/L in its name, mmol/L in its unit column: say which"),
        ("A,Chloride,3,uS/cm", "uS/cm measures a conductivity"),
        ("A,Chloride,3,blobs", "in its unit column: 'blobs' is no unit known here"),
        ("A,Hardness,3,", "no unit: total hardness is written in"),
        ("A,Chloride,purple,mg/L", "a colour; write the value"),
        ("A,Chloride,-3,mg/L", "impossible: expected 0"),
        ("A,Smell of it,3,mg/L", "'Smell of it' is no analyte known here"),
        ("A,Chloryde,3,mg/L", "'Chloryde' is no analyte known here; is it chloride?"),
        ("A,,3,mg/L", "no analyte named"),
    ],
)
def test_rows_that_cannot_be_used_are_one_line_each(read_text_of, row, problem):
    readings = read_text_of(f"Sample No,Parameter,Result,UOM\nA,pH,7,\n{row}\nB,pH,8,\n")
    assert len(readings.samples) == 2
    assert len(readings.rejected) == 1
    line = readings.rejected.iloc[0]
    assert problem in line["problem"]
    assert (readings.lower[:, 0] == [7, 8]).all()
    accounted(readings)


def test_results_written_twice(read_text_of):
    head = "Sample No,Parameter,Result,Unit\nA,Chloride,40,mg/L\n"
    same = read_text_of(head + "A,Cl,40.0,mg/L\nA,Nitrate,10,mg/L as N\nA,NO3,44.3,mg/L\n")
    assert (same.files[0].duplicate_rows, len(same.questions)) == (2, 0)
    assert same.duplicates[["row", "kept_row"]].to_numpy().tolist() == [[2, 3], [4, 5]]
    differ = read_text_of(head + "A,Chloride,44,mg/L\nA,Chloride,x,mg/L\nA,Chloride,,mg/L\n")
    assert values(differ) == {("A", "chloride"): (40, 44)}
    assert differ.questions["question"].tolist() == [
        "results of one sample differ: carried as the range 40 to 44"
    ]
    assert (differ.files[0].duplicate_rows, differ.files[0].rejected_rows) == (2, 1)
    for readings in (same, differ):
        accounted(readings)


def test_blocks_whose_sample_stands_once(read_text_of):
    rows = ROWS.splitlines()
    merged = "\n".join(
        [rows[0], *(",,," + r[len(A) :] for r in rows[1:4]), rows[4]]
        + [",,," + r[len(B) :] for r in rows[5:]]
    )
    readings = read_text_of(HEAD + merged + "\n")
    assert values(readings) == values(read_text_of(HEAD + ROWS))
    assert "5 rows without a sample of their own belong to the sample above" in set(
        readings.assumptions["assumption"]
    )


def test_number_alone_ties_rows_whose_date_stands_once(read_text_of):
    readings = read_text_of(
        "Sample No,Date,Hours,Parameter,Result\nA,2025-01-02,10,pH,7\nA,,,Appearance,clear\n"
        "A,,11,Odour,none\nB,2025-01-03,,pH,8\nB,2025-01-04,,pH,9\n"
    )
    samples = readings.samples
    assert samples["sample_id"].tolist() == ["A", "B", "B"]
    assert samples["taken_on"].dt.day.tolist() == [2, 3, 4]
    assert samples["hours"].tolist()[0] == 10
    assert readings.questions["question"].tolist() == ["not the '10' of the sample's first row"]


def test_report_of_one_sample(read_text_of):
    readings = read_text_of("Parameter,Result,Unit\npH,7.4,\nChloride,30,mg/L\n")
    assert readings.lower.tolist() == [[7.4, 30]]
    assert "no column tells samples apart: all rows are one sample" in set(
        readings.assumptions["assumption"]
    )


def test_flags_and_limits_in_rows(read_text_of):
    readings = read_text_of(
        "Sample No,Parameter,Qualifier,Result,Unit,MDL,MDL unit\n"
        "A,Chloride,<,5,mg/L,,\nA,Sulfate,U,,mg/L,2,mg/L\nA,Iron,,ND,mg/L,20,ug/L\n"
        "A,Copper,J,0.1,mg/L,0.05,mg/L\nA,Zinc,,,mg/L,0.05,mg/L\n"
    )
    found = values(readings)
    assert found == {
        ("A", "chloride"): (0, 5),
        ("A", "sulfate"): (0, 2),
        ("A", "iron"): (0, 0.02),
        ("A", "copper"): (0.1, 0.1),
    }
    assert readings.status[0, readings.position("zinc")] == BLANK
    assert readings.questions["question"].tolist() == ["the laboratory marks it as estimated (J)"]


def test_methods_laboratories_and_lots_of_each_result(read_text_of):
    readings = read_text_of(
        "Sample No,Material,Parameter,Result,Unit,Method,Lab,Lot\n"
        "A,coolant,pH,8.5,,strip,Ours,S1\nA,coolant,Nitrite,600,mg/L,strip,Ours,S1\n"
        "A,coolant,Chloride,30,mg/L,laboratory,Theirs,\n"
    )
    names = readings.method.names
    assert [names[code] for code in readings.method.codes[0]] == [
        *("strip_coolant", "strip_coolant", "laboratory_coolant")
    ]
    assert [readings.laboratory.names[c] for c in readings.laboratory.codes[0]] == [
        *("Ours", "Ours", "Theirs")
    ]
    assert readings.lot.codes[0].tolist() == [0, 0, -1]
    # Pads at 300, 600, 800: half way to the neighbours.
    assert values(readings)["A", "nitrite"] == (450, 700)
    assert values(readings)["A", "chloride"] == (30, 30)


def test_free_columns(read_text_of):
    readings = read_text_of(
        "Sample No,Parameter,Result,Depot,Analyst,pH\nA,pH,7,North,K,1\nA,Odour,none,North,L,1\n"
    )
    assert readings.samples["Depot"].tolist() == ["North"]
    said = dict(
        zip(readings.assumptions["assumption"], readings.assumptions["column"], strict=True)
    )
    assert said["not kept: rows of one sample differ in it"] == "Analyst"
    assert said["kept as text: 'Parameter' names what each row measures"] == "pH"


def test_columns_file(read_text_of):
    text = (
        "Nr;Was;Erg;Maß;Werk\nA;KH;7,1;;Nord\nA;Säure;8,1;;Nord\nA;Farbe;blau;;Nord\n"
        "A;Cl;7;Tropfen;Nord\n"
    )
    columns = """
    columns:
      Nr: sample_id
      Was: {fact: parameter}
      Erg: value
      Maß: unit
      Werk: sampling_point
    analytes:
      KH: {analyte: total alkalinity, unit: dH}
      Säure: {analyte: ph, method: field meter}
      Farbe: text
      Cl: {analyte: chloride, per_drop: 5 mg/L}
      Kalk: calcium
    """
    readings = read_text_of(text, columns=columns)
    found = values(readings)
    # 1 dH is 17.848 mg/L as CaCO3 (abridged atomic weights 2021).
    np.testing.assert_allclose(found["A", "total_alkalinity"], 7.1 * 17.848, rtol=1e-4)
    assert found["A", "ph"] == (8.1, 8.1)
    assert found["A", "chloride"] == (30, 35)
    assert readings.samples["sampling_point"].tolist() == ["Nord"]
    assert readings.method.names == ("field_meter", "drop_count_kit")
    problems = readings.rejected["problem"].tolist()
    assert problems[0] == "'Kalk' is no name of these files; expected one of: Cl, Farbe, KH, Säure"
    assert problems[1] == "left out, as the columns file says"


def test_layout_as_stated(read_text_of):
    text = "Sample No,Parameter,Result,pH\nA,Chloride,40,7\n"
    assert read_text_of(text).files[0].layout == "long"
    readings = read_text_of(text, columns="layout: wide")
    assert (readings.files[0].layout, readings.lower.tolist()) == ("wide", [[7]])
    with pytest.raises(IntakeError, match=r"a\.csv, row 1: no column names analytes"):
        read_text_of("Sample No,pH\nA,7\n", columns="layout: long")
    with pytest.raises(LimitFileError, match="'tall' is no choice known here"):
        read_text_of(text, columns="layout: tall")


def test_words_in_a_wide_file_make_no_long_table(read_text_of):
    readings = read_text_of("Sample No,Test,Result,pH\nA,monthly,fit,7\nB,yearly,unfit,8\n")
    assert readings.files[0].layout == "wide"


NAMES = ["pH", "Chloride", "Cl (mg/L)", "Iron", "Glycol", "what", "", "Appearance"]
CELLS = ["7", "7.0", "8", "<5", "ND", "", "x", "clear", "3 mg/L", ">9"]


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["A", "B", ""]),
            st.sampled_from(["2025-01-02", "2025-01-03", ""]),
            st.sampled_from(NAMES),
            st.sampled_from(CELLS),
            st.sampled_from(["mg/L", "ug/L", "", "uS/cm", "-"]),
            st.sampled_from(["", "<", "U", "zz"]),
        ),
        min_size=1,
        max_size=25,
    )
)
def test_every_row_is_accounted_for(tmp_path_factory, rows):
    path = tmp_path_factory.mktemp("long") / "a.csv"
    lines = [",".join(row) for row in rows]
    head = "Sample No,Date,Parameter,Result,Unit,Flag\nA,2025-01-02,pH,7,,\n"
    path.write_text(head + "\n".join(lines) + "\n", encoding="utf-8")
    readings = read_results(path)
    accounted(readings)
    file = readings.files[0]
    assert file.rows_read == 1 + sum(any(line.split(",")) for line in lines)
    # Each rejected cell has its line, each rejected row too.
    cells = readings.rejected["cells"]
    assert cells.sum() == (readings.status == REJECTED).sum() + (
        readings.rejected["problem"].str.startswith("expected a date").sum()
    )
    assert (cells == 0).sum() == file.rejected_rows
    assert len(readings.duplicates) <= file.duplicate_rows
