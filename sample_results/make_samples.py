"""Write the sample files: ``python sample_results/make_samples.py [FOLDER]``.

Everything in them is invented; the same seed writes the same bytes.
"""

from __future__ import annotations

import csv
import io
import sys
from pathlib import Path
from random import Random

import goods
import messy
import strips
import waters
from depot import COOLANTS
from goods import fresh_state
from history import Sample, Story, tell
from laboratory import coolant_columns, panel

SEED = 20240108
DENSITY = 1.07  # of a half-and-half mix [kg/L] (memory); this laboratory weighs its samples
HERE = Path(__file__).parent
Rows = list[dict[str, str]]


def table(rows: Rows) -> str:
    """Write rows as comma-separated text with a header."""
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def whole(value: float | None) -> str:
    return "" if value is None else f"{value:.0f}"


def about(sample: Sample, number: int) -> dict[str, str]:
    """Return the columns that say which bottle a row is."""
    return {
        "Sample No": f"K-{number:04}",
        "Unit ID": sample.unit.name,
        "Date Sampled": sample.day.isoformat(),
        "Hours": whole(sample.hours),
        "Odometer (km)": whole(sample.distance),
        "Material": "coolant",
        "Technology": COOLANTS[sample.unit.coolant].technology if sample.unit.stated else "",
        "Glycol Type": "ethylene glycol",
        "Sample Type": sample.kind,
    }


def fleet_history(story: Story) -> Rows:
    """Return two years of every unit, below one fresh mix of each technology."""
    dice = Random(f"{SEED} history")
    columns = coolant_columns("mg/L")
    rows = [
        fresh_mix(key, number, panel(columns, fresh_state(key), 0, dice))
        for number, key in enumerate(COOLANTS, start=1)
    ]
    for number, sample in enumerate(story.samples, start=len(rows) + 1):
        rows.append(about(sample, number) | panel(columns, sample.state, number, dice))
    return rows


def fresh_mix(key: str, number: int, cells: dict[str, str]) -> dict[str, str]:
    return {
        "Sample No": f"K-{number:04}",
        "Unit ID": "",
        "Date Sampled": "2024-01-05",
        "Hours": "",
        "Odometer (km)": "",
        "Material": "coolant",
        "Technology": COOLANTS[key].technology,
        "Glycol Type": "ethylene glycol",
        "Sample Type": "fresh fill",
    } | cells


def lab_wide(story: Story) -> Rows:
    """Return the last bottle of every unit as one batch, in ppm as laboratories print it."""
    dice = Random(f"{SEED} batch")
    columns = coolant_columns("ppm", factor=1 / DENSITY)
    last = {sample.unit.name: sample for sample in story.samples}
    rows = []
    for number, sample in enumerate(last.values(), start=1):
        known = about(sample, number) | {"Sample No": f"B-{number:03}"}
        del known["Sample Type"]
        cells = panel(columns, sample.state, 6 * number, dice)
        rows.append(known | cells)
    return rows


# The same batch as a laboratory writes it where the comma is the decimal mark.
GERMAN = {
    "Sample No": "Proben-Nr",
    "Unit ID": "Fahrzeug",
    "Date Sampled": "Probenahmedatum",
    "Hours": "Betriebsstunden",
    "Odometer (km)": "Kilometerstand",
    "Material": "Probenart",
    "Technology": "Technologie",
    "Glycol Type": "Glykoltyp",
    "Glycol (vol%)": "Glykol (Vol.-%)",
    "RA (mL)": "Reservealkalität (mL)",
    "Freeze Pt (°C)": "Gefrierpunkt (°C)",
    "Conductivity (µS/cm)": "Leitfähigkeit (µS/cm)",
    "Nitrite NO2 (ppm)": "Nitrit (ppm)",
    "Nitrate NO3 (ppm)": "Nitrat (ppm)",
    "Molybdenum (ppm)": "Molybdän (ppm)",
    "Silicon (ppm)": "Silizium (ppm)",
    "Phosphate PO4 (ppm)": "Phosphat (ppm)",
    "Boron (ppm)": "Bor (ppm)",
    "Carboxylates (ppm)": "Carboxylate gesamt (ppm)",
    "Azoles (ppm)": "Azole gesamt (ppm)",
    "Chloride (ppm)": "Chlorid (ppm)",
    "Sulfate (ppm)": "Sulfat (ppm)",
    "Fluoride (ppm)": "Fluorid (ppm)",
    "Glycolate (ppm)": "Glykolat (ppm)",
    "Formate (ppm)": "Formiat (ppm)",
    "Acetate (ppm)": "Acetat (ppm)",
    "Sodium (ppm)": "Natrium (ppm)",
    "Potassium (ppm)": "Kalium (ppm)",
    "Iron (ppm)": "Eisen (ppm)",
    "Copper (ppm)": "Kupfer (ppm)",
    "Aluminium (ppm)": "Aluminium (ppm)",
    "Lead (ppm)": "Blei (ppm)",
    "Zinc (ppm)": "Zink (ppm)",
    "Tin (ppm)": "Zinn (ppm)",
    "Ammonium NH4 (ppm)": "Ammonium (ppm)",
}


def with_commas(rows: Rows) -> bytes:
    """Write a batch with semicolons, decimal commas, day-first dates and cp1252 bytes."""
    lines = [";".join(GERMAN.get(title, title) for title in rows[0])]
    for row in rows:
        year, month, day = row["Date Sampled"].split("-")
        texts = {title: text.replace(".", ",") for title, text in row.items()}
        texts["Date Sampled"] = f"{day}.{month}.{year}"
        lines.append(";".join(texts.values()))
    return ("\r\n".join(lines) + "\r\n").encode("cp1252")


def events(story: Story) -> Rows:
    """Return the depot's log."""
    return [
        {
            "unit_id": event.unit.name,
            "date": event.day.isoformat(),
            "hours": whole(event.hours),
            "event": event.kind,
            "litres": "" if event.litres is None else f"{event.litres:.1f}",
            "fluid": event.fluid,
            "note": event.note,
        }
        for event in story.events
    ]


def files() -> dict[str, bytes]:
    """Return every file's bytes by its name."""
    story = tell(SEED)
    batch = lab_wide(story)
    tables = {
        "fleet_history.csv": fleet_history(story),
        "events.csv": events(story),
        "lab_wide.csv": batch,
        "strip_log.csv": strips.log(story, SEED),
        "fill_water.csv": waters.reports(SEED),
        "received_goods.csv": goods.received(SEED),
    }
    made = {name: table(rows).encode("utf-8") for name, rows in tables.items()}
    made["lab_wide_comma.csv"] = with_commas(batch)
    return made | messy.files()


def main() -> None:
    """Write the files into this folder, or into the one named."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else HERE
    for name, data in files().items():
        (folder / name).write_bytes(data)


if __name__ == "__main__":
    main()
