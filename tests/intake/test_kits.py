"""Counted drops and volumes of titrant, by the library's word and by the user's."""

import numpy as np
import pytest

from chemcheck.errors import LimitFileError
from chemcheck.intake.kits import of_drops
from chemcheck.limit_library import find_method, methods
from chemcheck.limit_library.records import DropWorth
from chemcheck.readings.record import REJECTED

INF = np.inf
FIVE = "kits:\n  chloride: {per_drop: 5 mg/L}\n"


def ends(readings) -> list[tuple[float, float]]:
    return list(zip(readings.lower.ravel().tolist(), readings.upper.ravel().tolist(), strict=True))


@pytest.mark.parametrize(
    ("count", "span"),
    [
        ("7", (30, 35)),  # common practice: the colour changed with the last drop
        ("1", (0, 5)),
        ("0", (0, 0)),
        ("6-7", (25, 35)),
        ("<1", (0, 5)),
        (">20", (100, INF)),  # it had not changed yet
        ("7 drops", (30, 35)),
        ("7 Tropfen", (30, 35)),
        ("35 mg/L", (35, 35)),  # worked out already
    ],
)
def test_counts_of_drops(read_text_of, count, span):
    readings = read_text_of(f"Sample No,Chloride (drops)\nA,{count}\n", columns=FIVE)
    assert ends(readings) == [span]


def test_drops_in_a_cell_of_a_column_with_another_unit(read_text_of):
    readings = read_text_of("Sample No,Chloride (mg/L)\nA,7 drops\nB,35\n", columns=FIVE)
    assert ends(readings) == [(30, 35), (35, 35)]


def test_range_of_the_library_where_the_user_says_nothing(read_text_of):
    readings = read_text_of("Sample No,Chloride (drops),Hardness (drops)\nA,7,10\n")
    worth = methods()["drop_count_kit"].drop_worths
    assert worth["chloride"].evidence == "memory"
    # 1 grain per US gallon is 17.1181 mg/L (NIST SP 811 grain and gallon).
    np.testing.assert_allclose(ends(readings), [(6 * 5, 7 * 20), (9 * 17.1181, 171.181)], rtol=1e-5)
    said = readings.assumptions.set_index("column")["assumption"]
    assert said["Chloride (drops)"].startswith("a drop is taken as 5 to 20 mg/L (memory: ")
    assert said["Hardness (drops)"].startswith("a drop is taken as 17.12 mg/L as CaCO3 (memory: ")
    assert readings.method.names == ("drop_count_kit",)


def test_drops_of_which_nobody_says_the_worth(read_text_of):
    readings = read_text_of("Sample No,Sulfate (drops),pH\nA,3,7\nB,4,7\n")
    assert readings.status[:, 0].tolist() == [REJECTED, REJECTED]
    line = readings.rejected.iloc[0]
    assert (len(readings.rejected), line["cells"]) == (1, 2)
    assert line["problem"].startswith("counted drops: say what one is worth, as per_drop")


def test_method_stated_in_the_file_stays(read_text_of):
    readings = read_text_of("Sample No,Method,Chloride (drops)\nA,laboratory,3\n", columns=FIVE)
    assert readings.method.names == ("laboratory_water",)


@pytest.mark.parametrize(
    ("title", "cell", "kit", "expected"),
    [
        # Standard Methods 2320 B and 2340 C, memory.
        ("Alkalinity (mL)", "6.2", "total alkalinity: {normality: 0.02, sample: 50 mL}", 124.0),
        ("Alkalinity", "6.2", "total alkalinity: {titrant: 0.02 N H2SO4, sample: 50 mL}", 124.0),
        ("Hardness", "3.4 mL", "TH: {titrant: 0.01 M EDTA, sample: 25 mL}", 136.0),
        # ASTM D1121: mL of 0.1 N acid for 10 mL of the neat sample.
        ("RA", "4", "reserve alkalinity: {sample: 10 mL}", 4.0),
        ("RA (mL)", "2", "reserve alkalinity: {sample: 5 mL}", 4.0),
        ("RA (mL)", "2", "reserve alkalinity: {dilution: 2}", 4.0),
        ("RA (mL)", "1", "reserve alkalinity: {sample: 5 mL, dilution: 2}", 4.0),
        ("RA (mL)", "8", "reserve alkalinity: {normality: 0.05}", 4.0),
        ("Nitrite (mg/L)", "300", "nitrite: {dilution: 4}", 1200.0),
        ("Chloride (drops)", "<8", "chloride: {per_drop: 5 mg/L, dilution: 2}", 80.0),
        ("NO2 (drops)", "<2", "nitrite: {per_drop: 10 mg/L, form: N}", 20 * 46.005 / 14.007),
    ],
)
def test_kits_of_a_columns_file(read_text_of, title, cell, kit, expected):
    readings = read_text_of(f"Sample No,{title}\nA,{cell}\n", columns=f"kits:\n  {kit}\n")
    np.testing.assert_allclose(readings.upper, [[expected]], rtol=1e-3)


def test_kit_of_one_column(read_text_of):
    columns = """
    kits:
      chloride: {per_drop: 20 mg/L}
    columns:
      Cl: {analyte: chloride, per_drop: 5 mg/L}
      Alk: {analyte: total alkalinity, normality: 0.02, sample: 50 mL, method: drop kit}
    """
    readings = read_text_of("Sample No,Cl,Alk\nA,7,6.2\n", columns=columns)
    np.testing.assert_allclose(ends(readings), [(30, 35), (124.1, 124.1)], rtol=1e-3)
    assert readings.method.names == ("drop_count_kit",)


def test_conductivity_at_20_and_25_degrees(read_text_of):
    # Memory: ISO 7888, the factor to 25 C is 1.116; the drinking-water limits 2790 uS/cm at
    # 25 C and 2500 uS/cm at 20 C (EU 98/83/EC and its national copies) agree with it.
    text = "Sample No,EC @20C (uS/cm)\nA,2500\n"
    np.testing.assert_allclose(read_text_of(text).lower, [[2790]], rtol=1e-3)
    columns = "columns:\n  EC: {analyte: conductivity, unit: uS/cm, basis: at_20_c}\n"
    readings = read_text_of("Sample No,EC\nA,2500\n", columns=columns)
    np.testing.assert_allclose(readings.lower, [[2790]], rtol=1e-3)
    assert readings.columns[0].basis == "at_25_c"
    assert read_text_of("Sample No,EC (uS/cm at 25 C)\nA,2790\n").lower.tolist() == [[2790]]


@pytest.mark.parametrize(
    ("kit", "message"),
    [
        ("chloride: {per_drop: 5}", "expected what a drop is worth with its unit"),
        ("chloride: {per_drop: 5 uS/cm}", "per_drop: .*measures a conductivity"),
        ("chloride: {per_drop: 0 mg/L}", "more than nothing for a drop"),
        ("chlorid e: {per_drop: 5 mg/L}", None),
        ("chloride: {}", "expected one of the keys per_drop, titrant"),
        ("chlor: {per_drop: 5 mg/L}", "'chlor' is no analyte known here"),
        ("chloride: {titrant: 0.01 M, sample: 5 mL}", "is no unit known here"),
        ("chloride: {normality: 0.01}", "expected the titrant's strength"),
        ("chloride: {normality: 0.01, sample: 5 mL, per_drop: 5 mg/L}", "not both"),
        ("glycol: {normality: 0.01, sample: 5 mL}", "measures a titrant volume"),
        ("pH: {dilution: 2}", "pH is not in proportion to the dilution"),
        ("freezing point: {dilution: 2}", "not in proportion"),
        ("nitrite: {dilution: 0.5}", "expected by how much the sample was thinned"),
        ("nitrite: {drops: 5}", "'drops' is no key known here"),
    ],
)
def test_wrong_kit_is_one_clear_line(read_text_of, kit, message):
    text = "Sample No,Chloride (drops)\nA,7\n"
    if message is None:  # spaces do not matter in names
        assert ends(read_text_of(text, columns=f"kits:\n  {kit}\n")) == [(30, 35)]
        return
    with pytest.raises(LimitFileError, match=r"ours\.yaml, line 2, kits.*" + message):
        read_text_of(text, columns=f"kits:\n  {kit}\n")


def test_counts_never_overlap_by_more_than_the_worth_of_a_drop():
    counts = np.arange(0.0, 40.0)
    low, high = of_drops(counts, counts, DropWorth(5.0, 5.0, "", "common practice"))
    assert (low[1:] == high[:-1]).all()
    assert (high - low)[1:].tolist() == [5.0] * 39


def test_no_factor_of_the_library_is_a_brand_s():
    method = find_method("drop kit")
    assert method is not None
    assert method.drop_worths
    assert {one.evidence for one in method.drop_worths.values()} == {"memory"}
    assert all(0 < one.least <= one.greatest for one in method.drop_worths.values())
