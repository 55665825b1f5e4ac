"""The JSON document of waters: indices by temperature as numbers, intervals or null."""

import io
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from chemcheck.assessment.water import water
from chemcheck.intake.quantities import read_quantities
from chemcheck.intake.read import read_results
from chemcheck.reports.water_json import write_water_json

FILL_WATER = Path(__file__).parents[2] / "sample_results" / "fill_water.csv"
FIGURE = {
    "anyOf": [
        {"type": ["number", "null"]},
        {
            "type": "object",
            "required": ["lower", "upper"],
            "additionalProperties": False,
            "properties": {end: {"type": ["number", "null"]} for end in ("lower", "upper")},
        },
    ]
}
CLOSED = (
    "temperature_c", "ph", "calcite_si", "aragonite_si", "gypsum_si", "anhydrite_si",
    "ccpp_mg_per_kg", "langelier_index", "ryznar_index", "puckorius_index",
)  # fmt: skip
OTHERS = ("brucite_si", "amorphous_silica_si", "hydroxyapatite_si")
LABELS = ("cold", "25", "60", "90", "film")


def exactly(names: tuple[str, ...], what: Any) -> dict[str, Any]:
    return {
        "type": "object",
        "required": list(names),
        "additionalProperties": False,
        "properties": dict.fromkeys(names, what),
    }


SAMPLE = {
    "type": "object",
    "required": ["indices", "vented", "larson_skold", "charge_balance_percent"],
    "properties": {
        "indices": exactly(LABELS, exactly(CLOSED, FIGURE)),
        "vented": exactly(LABELS, exactly(CLOSED[:7], FIGURE)),
        "other_indices": exactly(LABELS, exactly(("temperature_c", *OTHERS), FIGURE)),
        **dict.fromkeys(
            (
                "larson_skold",
                "chloride_sulfate_ratio",
                "aggressive_index",
                "charge_balance_percent",
            ),
            FIGURE,
        ),
    },
}
EXACT = {
    "pH": "7.4",
    "calcium": "112 mg/L",
    "magnesium": "17.7 mg/L",
    "alkalinity": "278 mg/L as CaCO3",
    "sodium": "25.1 mg/L",
    "potassium": "1.98 mg/L",
    "chloride": "29.3 mg/L",
    "sulfate": "95 mg/L",
    "total dissolved solids": "454 mg/L",
    "water temperature": "15 C",
}


def document(readings) -> Any:
    file = io.BytesIO()
    write_water_json(water(readings), file)
    return json.loads(file.getvalue())


def given(**changes: str) -> Any:
    return read_quantities(EXACT | changes, name="options", material="water")


def test_every_sample_follows_the_schema(tmp_path: Path) -> None:
    lines = FILL_WATER.read_text(encoding="utf-8").splitlines(keepends=True)[:9]
    file = tmp_path / "waters.csv"
    file.write_text("".join(lines), encoding="utf-8")
    found = document(read_results(file, material="water"))
    assert len(found["samples"]) == 8
    for sample in found["samples"]:
        jsonschema.validate(sample, SAMPLE)


def test_exact_readings_give_numbers() -> None:
    [sample] = document(given())["samples"]
    jsonschema.validate(sample, SAMPLE)
    indices = sample["indices"]
    assert [indices[label]["temperature_c"] for label in LABELS] == [15, 25, 60, 90, 110]
    assert indices["cold"]["ph"] == 7.4
    for label in LABELS:
        for key in CLOSED[:7]:
            assert isinstance(indices[label][key], int | float), (label, key)
    # Beyond 90 C the short formula has no value.
    assert indices["film"]["langelier_index"] is None
    # (29.3 / 35.45 + 2 x 95 / 96.06) / (278 / 50.043), and 29.3 / 95.
    assert sample["larson_skold"] == pytest.approx(0.5049, abs=1e-3)
    assert sample["chloride_sulfate_ratio"] == pytest.approx(0.3084, abs=1e-3)
    # Ca 5.589 + Mg 1.456 + Na 1.092 + K 0.051 against Cl 0.827 + SO4 1.978 + alkalinity 5.555.
    assert sample["charge_balance_percent"] == pytest.approx(-1.04, abs=0.02)


def test_intervals_give_both_ends() -> None:
    [sample] = document(given(pH="7 - 8"))["samples"]
    jsonschema.validate(sample, SAMPLE)
    at_60 = sample["indices"]["60"]
    assert at_60["calcite_si"]["lower"] < at_60["calcite_si"]["upper"]
    assert sample["indices"]["cold"]["ph"] == {"lower": 7, "upper": 8}
    assert isinstance(sample["larson_skold"], float)


def test_what_cannot_be_reckoned_is_null() -> None:
    [sample] = document(read_quantities({"pH": "7.4"}, name="options", material="water"))["samples"]
    jsonschema.validate(sample, SAMPLE)
    assert sample["indices"]["60"]["calcite_si"] is None
    assert sample["larson_skold"] is None
    assert sample["charge_balance_percent"] is None
