"""Columns row by row: densities, and two columns of one analyte."""

import numpy as np
import pytest

from chemcheck.readings.record import BLANK, READ, REJECTED


def test_ppm_in_coolant_carries_both_meanings(read_text_of):
    text = "Sample No,Chloride (ppm),Glycol (vol%),Glycol type\nA,100,50,EG\nB,<10,,EG\nC,,50,EG\n"
    readings = read_text_of(text, material="coolant")
    at = readings.position("chloride")
    # 1.074 kg/L: handbook density of inhibited ethylene glycol at 50 vol% and 21 C.
    assert readings.lower[:2, at].tolist() == [100, 0]
    assert readings.upper[0, at] == pytest.approx(107.4)
    assert readings.upper[1, at] == pytest.approx(10 * 1.087)  # glycol not known: to 60 vol%
    np.testing.assert_allclose(readings.shared_factor[:, at], [1.074, 1.087, 1], rtol=1e-6)
    other = readings.position("glycol")
    assert (readings.shared_factor[:, other] == 1).all()
    assert readings.assumptions["assumption"].str.contains("mg/kg or mg/L").sum() == 1


@pytest.mark.parametrize(("ppm", "span"), [("mg/L", (100, 100)), ("mg/kg", (104.29, 107.4))])
def test_columns_file_settles_ppm(read_text_of, ppm, span):
    text = "Sample No,Chloride (ppm),Glycol (vol%)\nA,100,50\n"
    readings = read_text_of(text, columns=f"ppm: {ppm}")
    assert (readings.lower[0, 0], readings.upper[0, 0]) == pytest.approx(span)
    assert (readings.shared_factor == 1).all()
    assert not readings.assumptions["assumption"].str.contains("mg/kg or").any()


def test_results_per_mass_say_how_they_were_brought_to_a_volume(read_text_of):
    readings = read_text_of("Sample No,Chloride (mg/kg),Glycol (vol%)\nA,100,50\n")
    assert (readings.lower[0, 0], readings.upper[0, 0]) == pytest.approx((104.29, 107.4))
    said = readings.assumptions.set_index("column")["assumption"]
    assert said["Chloride (mg/kg)"].startswith("per mass: times the densities")


def test_ppm_in_water_is_one_number(read_text_of):
    readings = read_text_of("Sample No,Chloride (ppm)\nA,100\n")
    assert readings.lower.tolist() == readings.upper.tolist() == [[100]]


def test_two_columns_of_one_analyte(read_text_of):
    rows = [
        "A,5,5",  # they agree
        "B,5,",
        "C,,6",
        "D,5,6",  # they do not
        "E,,",
        "F,x,6",
        "G,5,x",
        "H,x,x",
    ]
    readings = read_text_of("\n".join(["Sample No,Cl (mg/L),Chloride mg/L", *rows]))
    assert len(readings.columns) == 1
    assert readings.status[:, 0].tolist() == [
        *(READ, READ, READ),
        *(REJECTED, BLANK, REJECTED, REJECTED, REJECTED),
    ]
    np.testing.assert_equal(readings.lower[:, 0], [5, 5, 6, *[np.nan] * 5])
    lines = readings.rejected
    assert lines["row"].tolist() == [5, 7, 8, 9]
    assert lines["cells"].sum() == (readings.status == REJECTED).sum()
    assert lines["problem"].iloc[0] == (
        "another result than in the column 'Cl (mg/L)'; neither is used; "
        "keep one of them as text in a columns file (--columns)"
    )


def test_two_bases_are_two_columns(read_text_of):
    readings = read_text_of("Sample No,Iron dissolved mg/L,Iron total mg/L\nA,1,5\n")
    assert [column.basis for column in readings.columns] == ["dissolved", "digested"]


def test_open_choice_is_one_line(read_text_of):
    rows = "".join(f"S{k},{k},1\n" for k in range(1, 6))
    readings = read_text_of("Sample No,Hardness,Cl mg/L\n" + rows + "S6,,1\n")
    line = readings.rejected.iloc[0]
    assert len(readings.rejected) == 1
    assert (line["column"], line["text"], line["cells"]) == ("Hardness", "1", 5)
    assert readings.status[:, 0].tolist() == [REJECTED] * 5 + [BLANK]
    assert (readings.status[:, 1] == READ).all()
