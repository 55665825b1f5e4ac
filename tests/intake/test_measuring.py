"""How readings were measured, row by row and column by column."""

import numpy as np

from chemcheck.intake.measuring import RowText


def names(coded) -> list[list[str | None]]:
    return [[coded.names[k] if k >= 0 else None for k in row] for row in coded.codes.tolist()]


def test_methods_of_rows(read_text_of):
    text = (
        "Sample No,pH,RA (mL),Method,Lot,Lab\n"
        "A,8,5,test strip,L1,north\nB,7,,Strip,,north\nC,8,5,,L1,\nD,8,5,by nose,L2,south\n"
    )
    readings = read_text_of(text)
    assert names(readings.method) == [
        ["strip_coolant"] * 2,
        ["strip_water"] * 2,  # the same word for another material
        [None] * 2,
        ["by nose"] * 2,
    ]
    assert names(readings.lot)[3] == ["L2", "L2"]
    assert names(readings.laboratory) == [["north"] * 2, ["north"] * 2, [None] * 2, ["south"] * 2]
    said = readings.assumptions.set_index("column")["assumption"]
    assert said["Method"].startswith("'by nose' is no method known here")


def test_only_rows_on_strips_are_pads(read_text_of):
    rows = ["A,600,5,strip,L", "B,600,5,lab,", "C,600,5,strip,"]
    readings = read_text_of("\n".join(["Sample No,Nitrite (mg/L),RA (mL),Method,Lot", *rows]))
    # Generic steps 300, 600, 800, 1200 (common practice, no source).
    assert readings.lower[:, 0].tolist() == [450, 600, 300]
    assert readings.upper[:, 0].tolist() == [700, 600, 800]


def test_columns_file_gives_a_column_its_method(read_text_of):
    text = "Sample No,Nitrite (mg/L),Chloride (mg/L),RA (mL)\nA,600,60,5\n"
    columns = (
        "method: lab coolant\nlot: L7\ncolumns: {Nitrite (mg/L): {analyte: nitrite, method: strip}}"
    )
    readings = read_text_of(text, columns=columns)
    assert names(readings.method) == [["strip_coolant", "laboratory_coolant", "laboratory_coolant"]]
    assert names(readings.lot) == [["L7"] * 3]
    assert (readings.lower[0, 0], readings.upper[0, 0]) == (450, 700)
    assert readings.lower[0, 1] == readings.upper[0, 1] == 60


def test_more_lots_than_can_be_numbered_are_none():
    many = RowText(np.arange(40_000, dtype=np.int32), tuple(map(str, range(40_000))))
    coded, said = many.coded(2)
    assert coded.names == ()
    assert coded.codes.shape == (40_000, 2)
    assert said == "40,000 distinct texts; at most 32,767 are kept: none is"
