"""The sample files: reproducible, invented, and consistent with the chemistry they show."""

import csv
import io
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
from scipy.interpolate import PchipInterpolator

from chemcheck.analytes import molar_mass, plain_name, read_name, to_canonical, vocabulary
from chemcheck.intake.headers import read_header

FOLDER = Path(__file__).parent.parent.parent / "sample_results"
FILES = [
    "events.csv",
    "fill_water.csv",
    "fleet_history.csv",
    "lab_wide.csv",
    "lab_wide_comma.csv",
    "messy.csv",
    "received_goods.csv",
    "strip_log.csv",
    "undecidable.csv",
]


def _rows(name: str) -> list[dict[str, str]]:
    text = (FOLDER / name).read_bytes().decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def _number(text: str) -> float:
    return 0.0 if text.startswith("<") else float(text)


def test_making_them_again_writes_the_same_bytes(tmp_path: Path) -> None:
    script = [sys.executable, str(FOLDER / "make_samples.py"), str(tmp_path)]
    subprocess.run(script, check=True)
    assert sorted(path.name for path in tmp_path.iterdir()) == FILES
    for name in FILES:
        assert (tmp_path / name).read_bytes() == (FOLDER / name).read_bytes(), name


def test_the_readme_names_every_file_and_says_that_all_is_invented() -> None:
    text = (FOLDER / "README.md").read_text(encoding="utf-8")
    assert "invented" in text.splitlines()[0]
    assert sorted(re.findall(r"^\| `(\S+\.csv)`", text, re.MULTILINE)) == FILES


def test_the_fleet_is_as_described() -> None:
    routine = [row for row in _rows("fleet_history.csv") if row["Sample Type"] == "routine"]
    samples = Counter(row["Unit ID"] for row in routine)
    assert len(samples) == 40
    assert min(samples.values()) == 3
    assert max(samples.values()) == 12
    assert len({row["Technology"] for row in routine} - {""}) == 6
    days = sorted(row["Date Sampled"] for row in routine)
    assert days[0] >= "2024-01-01"
    assert days[-1] <= "2025-12-31"
    kinds = {row["event"] for row in _rows("events.csv")}
    assert kinds == {"change", "partial change", "top-up", "dose", "repair", "meter reset"}
    assert {row["unit_id"] for row in _rows("events.csv")} <= set(samples)


def test_both_batches_hold_the_same_results() -> None:
    commas = (FOLDER / "lab_wide_comma.csv").read_bytes().decode("cp1252").split("\r\n")
    points = (FOLDER / "lab_wide.csv").read_text(encoding="utf-8").split("\n")
    for semicolons, plain in zip(commas[1:], points[1:], strict=True):
        cells = semicolons.split(";")
        if len(cells) > 1:
            day, month, year = cells[2].split(".")
            cells[2] = f"{year}-{month}-{day}"
        assert ",".join(cell.replace(",", ".") for cell in cells) == plain
    for semicolons, plain in zip(commas[0].split(";")[8:], points[0].split(",")[8:], strict=True):
        assert _analyte(semicolons) == _analyte(plain)


def _analyte(title: str) -> str | None:
    found = read_name(re.sub(r"\s*\(.*\)", "", title))
    return found and found.analyte


@pytest.mark.parametrize("name", ["fleet_history.csv", "lab_wide.csv"])
def test_freezing_points_follow_the_glycol(name: str) -> None:
    # Inhibited ethylene glycol in water, vol% to deg C (library: egasp 0.1.9, data table).
    table = {22.9: -10.7, 27.7: -14.1, 32.6: -17.9, 37.5: -22.3, 42.5: -27.5, 47.6: -33.8}
    table |= {49.6: -36.4, 52.7: -41.1}
    curve = PchipInterpolator(list(table), list(table.values()))
    for row in _rows(name):
        freezing = float(curve(float(row["Glycol (vol%)"])))
        # Both are read with noise of their own: 0.8 % of the glycol, 0.2 C of the freezing point.
        assert float(row["Freeze Pt (°C)"]) == pytest.approx(freezing, abs=2.5), row["Sample No"]


def test_waters_are_neutral_and_their_hardness_is_that_of_their_ions() -> None:
    charges = {
        "Calcium": 2, "Magnesium": 2, "Sodium": 1, "Potassium": 1, "Chloride": -1, "Sulfate": -2,
        "Nitrate": -1,
    }  # fmt: skip
    checked = 0
    for row in _rows("fill_water.csv"):
        if not row["Sodium (mg/L)"]:
            continue
        cells = {
            title.split(" (")[0]: _number(text)
            for title, text in row.items()
            if "(" in title and text
        }
        meq = {
            ion: cells[ion] / vocabulary()[ion.lower()].molar_mass * charge
            for ion, charge in charges.items()
        }
        meq["Alkalinity"] = -cells["Total alkalinity"] / (molar_mass("CaCO3") / 2)
        cations = sum(value for value in meq.values() if value > 0)
        anions = -sum(value for value in meq.values() if value < 0)
        # A laboratory's analysis is taken for good within 5 % (common practice, no source).
        assert abs(cations - anions) / (cations + anions) < 0.05, row["Sample No"]
        # 2.497 Ca + 4.118 Mg: IUPAC abridged atomic weights 2021.
        hardness = 2.4973 * cells["Calcium"] + 4.1179 * cells["Magnesium"]
        assert cells["Total hardness"] == pytest.approx(hardness, rel=0.08)
        # Dissolved solids are 0.5 to 0.9 of the conductivity (memory).
        factor = cells["TDS"] / cells["Conductivity"]
        assert 0.49 < factor < 0.9, row["Sample No"]
        checked += 1
    assert checked == 24


def test_topping_up_with_water_dilutes_all_that_stays_alike() -> None:
    # A wheel loader topped up with tap water: sodium and potassium come with the coolant,
    # leave with it, and fall as the glycol does.
    rows = [
        row
        for row in _rows("fleet_history.csv")
        if row["Unit ID"] == "WL-02" and row["Sample Type"] == "routine"
    ]
    first, last = rows[0], rows[-1]
    glycol = float(last["Glycol (vol%)"]) / float(first["Glycol (vol%)"])
    assert glycol < 0.8
    for title in ("Sodium (mg/L)", "Potassium (mg/L)", "Boron (mg/L)"):
        assert float(last[title]) / float(first[title]) == pytest.approx(glycol, rel=0.12), title
    assert float(last["Calcium (mg/L)"]) > 3 * float(first["Calcium (mg/L)"])


def test_sea_water_shows_the_ratios_of_sea_water() -> None:
    rows = [row for row in _rows("fleet_history.csv") if row["Unit ID"] == "F2-ME1"]
    before, after = rows[5], rows[-1]

    def rise(title: str) -> float:
        return _number(after[title]) - _number(before[title])

    chloride = rise("Chloride (mg/L)")
    assert chloride > 50
    # Standard sea water: 2.71 g/kg of sulfate and 1.29 of magnesium to 19.4 of chloride (memory).
    assert rise("Sulfate (mg/L)") / chloride == pytest.approx(2.71 / 19.4, rel=0.25)
    assert rise("Magnesium (mg/L)") / chloride == pytest.approx(1.29 / 19.4, rel=0.25)


@pytest.mark.parametrize(
    ("name", "material"),
    [
        ("fleet_history.csv", "coolant"),
        ("lab_wide.csv", "coolant"),
        ("strip_log.csv", "coolant"),
        ("fill_water.csv", "water"),
    ],
)
def test_sound_files_hold_only_known_columns_and_usual_results(name: str, material: str) -> None:
    rows = _rows(name)
    for title in rows[0]:
        header = read_header(title)
        assert header.known, title
        if header.analyte is None:
            continue
        known = vocabulary()[header.analyte]
        cells = {row[title] for row in rows if row[title] and not row[title].startswith("<")}
        if known.words:
            spelled = {plain_name(word) for rank in known.words for word in rank}
            assert {plain_name(cell) for cell in cells} <= spelled
            continue
        unit = header.unit_text or known.usual_unit[material]
        to = to_canonical(known.key, unit, form=header.form, basis=header.basis, density=1.07)
        low, high = known.usual[material]
        assert all(low <= to(float(cell)) <= high for cell in cells), title


def test_every_mistake_stands_in_the_messy_file_once() -> None:
    remarks = Counter(row["Remarks"] for row in _rows("messy.csv") if row["Remarks"])
    assert len(remarks) >= 38
    assert [remark for remark, count in remarks.items() if count > 1] == ["the same row twice"]
