"""The table of figures of all waters, and what a person reads of one."""

import csv
import io
from dataclasses import replace

import pytest

from chemcheck.assessment.water import water
from chemcheck.intake.read import read_results
from chemcheck.reports import check_rows, waters_csv
from chemcheck.reports.check_document import PAGE, TEXT
from chemcheck.reports.page import write_page
from chemcheck.reports.text import write_text
from chemcheck.reports.water_document import water_document
from chemcheck.reports.waters_csv import write_waters_csv

HEADER = (
    "Sample No,pH,Temperature (C),Ca (mg/L),Mg (mg/L),Na (mg/L),K (mg/L),Cl (mg/L),"
    "SO4 (mg/L),Alkalinity (mg/L as CaCO3)"
)
TAP = "=TAP,7.4,15,112,17.7,25.1,1.98,29.3,95,278"
# Standard seawater (salinity 35, Millero 2008; memory).
SEA = "sea,8.1,25,412,1290,10770,399,19354,2712,116"
ROWS = f"{TAP}\nunread,,15,112,17.7,25.1,1.98,29.3,95,278\n{SEA}\nimpossible,12,15,40,2,,,,,3\n"


@pytest.fixture
def waters(tmp_path):
    file = tmp_path / "waters.csv"
    file.write_text(f"{HEADER}\n{ROWS}", encoding="utf-8")
    return water(read_results(file, material="water"))


def written(waters) -> list[dict[str, str]]:
    file = io.BytesIO()
    write_waters_csv(waters, file)
    return list(csv.DictReader(io.StringIO(file.getvalue().decode("utf-8"))))


def test_a_row_for_every_water(waters) -> None:
    tap, unread, _, impossible = written(waters)
    assert tap["sample_id"].endswith("=TAP")
    assert tap["sample_id"] != "=TAP"  # no formula
    assert tap["row"] == "2"
    assert tap["why_empty"] == ""
    assert tap["calcite_si_60_lower"] == tap["calcite_si_60_upper"] != ""
    assert tap["ph_cold_lower"] == "7.4"
    assert float(tap["vented_ph_60_lower"]) > float(tap["ph_60_lower"])
    assert tap["langelier_index_film_lower"] == ""
    assert unread["why_empty"].startswith("no pH")
    assert unread["calcite_si_60_lower"] == ""
    assert unread["larson_skold_lower"] == tap["larson_skold_lower"]
    assert impossible["why_empty"].startswith("no water can be so")


def test_seawater_is_named_out_of_range(waters) -> None:
    sea = written(waters)[2]
    assert "seawater" in sea["why_empty"]
    assert sea["calcite_si_25_lower"] == sea["langelier_index_25_lower"] == ""


def test_stretches_change_nothing(waters, monkeypatch) -> None:
    whole = written(waters)
    monkeypatch.setattr(check_rows, "STRETCH", 1)
    assert written(waters) == whole


def test_among_very_many_intervals_are_left_out_and_said(tmp_path, monkeypatch) -> None:
    monkeypatch.setattr("chemcheck.judging.figure_plan.MOST_SEARCHED", 1)
    file = tmp_path / "strips.csv"
    lines = [f"S{k},{ph},15,112,17.7,25.1,1.98,29.3,95,278" for k, ph in enumerate((7.4, 7.5))]
    strips = [f"T{k},7 - 8,15,112,17.7,25.1,1.98,29.3,95,278" for k in range(2)]
    file.write_text("\n".join([HEADER, *lines, *strips]), encoding="utf-8")
    rows = written(water(read_results(file, material="water")))
    assert [bool(row["calcite_si_60_lower"]) for row in rows] == [True, True, False, False]
    assert [row["why_empty"][:11] for row in rows] == ["", "", *["an interval"] * 2]


def test_what_a_person_reads_of_one(waters) -> None:
    readings = waters.assessment.readings
    alone = water(replace_rows(readings, [0]))
    text = " ".join(write_text(water_document(alone, TEXT)).split())
    assert "Scale and corrosion figures of this water alone" in text
    assert "as sampled, 15 C" in text
    assert "not a prediction for inhibited coolant" in text
    assert "Phosphate and silicate types are stricter" in text
    assert "UFC 3-240-13FN, appendix B" in text
    assert "for 0 to 90 C" in text
    assert "Above 100 C the constants are extrapolated" in text
    assert "Vented to air, the other bound" in text
    assert "Charge balance: -1.0 % of all charges" in text
    page = write_page(water_document(alone, PAGE))
    assert '<td class="amount" data-title="60 C">' in page
    assert "Scale and corrosion figures of this water alone</h3>" in page
    sea = water(replace_rows(readings, [2]))
    assert "outside the model" in write_text(water_document(sea, TEXT))
    assert waters_csv.VENTED[0] == "ph"


def replace_rows(readings, rows):
    """Return some samples alone."""
    coded = {
        name: replace(getattr(readings, name), codes=getattr(readings, name).codes[rows])
        for name in ("method", "laboratory", "lot")
    }
    return replace(
        readings,
        samples=readings.samples.iloc[rows].reset_index(drop=True),
        lower=readings.lower[rows],
        upper=readings.upper[rows],
        status=readings.status[rows],
        shared_factor=readings.shared_factor[rows],
        **coded,
    )
