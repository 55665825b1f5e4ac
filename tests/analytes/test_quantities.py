"""Units of columns: forms and bases in them, and what is refused."""

import csv
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.analytes import (
    analyte,
    read_name,
    read_unit,
    stored_basis,
    to_canonical,
    vocabulary,
)
from chemcheck.errors import UnitError


@pytest.mark.parametrize(
    ("key", "text", "symbol", "form", "basis"),
    [
        ("nitrate", "mg/l as N", "mg/L", "N", None),
        ("nitrate", "mg/l asNO3", "mg/L", "NO3", None),
        ("nitrate", "mg NO3-N/L", "mg/L", "N", None),
        ("nitrite", "ppm NaNO2", "ppm", "NaNO2", None),
        ("nitrite", "ppm (as sodium nitrite)", "ppm", "NaNO2", None),
        ("total_hardness", "mg/l CaCO3", "mg/L as CaCO3", None, None),
        ("total_hardness", "ppm as CaCO3", "ppm", "CaCO3", None),
        ("total_hardness", "°f", "fH", None, None),
        ("total_hardness", "d", "dH", None, None),
        ("total_alkalinity", "mg/L HCO3", "mg/L", "HCO3", None),
        ("conductivity", "µS/cm at 20 °C", "uS/cm", None, "at_20_c"),
        ("conductivity", "µS", "uS/cm", None, None),
        ("ph", "None", "pH", None, None),
        ("ph", "std units", "pH", None, None),
        ("freezing_point", "°f", "deg F", None, None),
        ("glycol", "%", "vol%", None, None),
        ("glycol", "wt %", "mass%", None, "by_mass"),
        ("turbidity", "FNU", "FNU", None, "infrared"),
        ("reserve_alkalinity", "mL", "mL 0.1 N acid/10 mL", None, None),
        ("iron", "mg/L dissolved", "mg/L", None, "dissolved"),
        ("chemical_oxygen_demand", "mg KMnO4/L", "mg/L", "KMnO4", None),
    ],
)
def test_units_say_forms_and_bases(
    key: str, text: str, symbol: str, form: str | None, basis: str | None
) -> None:
    read = read_unit(key, text)
    assert (read.unit.symbol, read.form, read.basis) == (symbol, form, basis)


@pytest.mark.parametrize(
    ("key", "text", "about", "match"),
    [
        ("chloride", "ppm", {}, "chloride in ppm: .*only with a density"),
        ("chloride", "mg/kg", {}, "only with a density"),
        ("chloride", "psi", {}, "measures a pressure"),
        ("chloride", "dH", {}, "degrees of hardness are for hardness and alkalinity"),
        ("chloride", "meters per se", {}, "is no unit known here for chloride; expected mg/L"),
        ("total_dissolved_solids", "tons/ac ft", {}, "is no unit known here"),
        ("total_dissolved_solids", "mmol/L", {}, "only with a molar mass"),
        ("freezing_point", "°", {}, "leaves open the unit of freezing point: say one of deg C"),
        ("bacteria", "CFU", {}, "leaves open"),
        ("nitrate", "mg/L as N", {"form": "NO3"}, "the form is said twice, as NO3 and as N"),
        ("nitrate", "mg/L", {"form": "S"}, "'S' is no form of nitrate known here"),
        ("calcium", "mg/L as CaCO3", {"form": "CaO"}, "both as CaCO3 and as CaO"),
        ("glycol", "mass %", {"basis": "by_volume"}, "the basis is said twice"),
        ("iron", "mg/L", {"basis": "neat"}, "'neat' is no basis of iron known here"),
        ("nitrte", "mg/L", {}, "'nitrte' is no analyte known here; nearest: nitrite"),
        ("reserve_alkalinity", "mg/L", {}, "neither converts"),
        ("iron", "meq/L", {}, "charge of the ion"),
    ],
)
def test_what_is_refused(key: str, text: str, about: dict[str, str], match: str) -> None:
    with pytest.raises(UnitError, match=match):
        to_canonical(key, text, **about)


def test_glycol_by_mass_stays_apart_from_glycol_by_volume() -> None:
    assert to_canonical("glycol", "mass %")(50.0) == 50.0
    assert to_canonical("glycol", "g/kg")(500.0) == pytest.approx(50.0)
    assert stored_basis("glycol", "by_mass") == "by_mass"
    assert stored_basis("glycol", None) == "by_volume"
    assert analyte("glycol").basis("by_mass").factor is None


def test_conductivity_at_20_c_ends_at_25_c() -> None:
    assert stored_basis("conductivity", "at_20_c") == "at_25_c"
    assert to_canonical("conductivity", "mS/cm", basis="at_20_c").factor == pytest.approx(1116)


def test_an_amount_of_a_form_is_that_many_moles_of_it() -> None:
    # One mole of P2O5 is two of PO4, one of borax four of B, however it is written.
    phosphate, boron = analyte("phosphate"), analyte("boron")
    pentoxide = to_canonical("phosphate", "mmol/L as P2O5").factor
    assert pentoxide == pytest.approx(2 * phosphate.molar_mass)
    borax = to_canonical("boron", "mmol/L", form="Na2B4O7.5H2O").factor
    assert borax == pytest.approx(4 * boron.molar_mass)
    assert to_canonical("phosphate", "meq/L as P").factor == pytest.approx(phosphate.molar_mass / 3)


@given(
    key=st.sampled_from([key for key, known in vocabulary().items() if known.charge]),
    value=st.floats(0, 1e5),
    density=st.floats(0.95, 1.2),
)
def test_every_way_of_writing_an_ion_meets(key: str, value: float, density: float) -> None:
    known = analyte(key)
    equivalents = value / known.molar_mass * known.equivalents
    ways = {
        "mmol/L": value / known.molar_mass,
        "meq/L": equivalents,
        "mg/L as CaCO3": equivalents * 50.043,
        "mg/kg": value / density,
        "ug/L": value * 1000,
    }
    for unit, written in ways.items():
        found = to_canonical(key, unit, density=density)(written)
        assert found == pytest.approx(value, rel=1e-9, abs=1e-9)


# Units in the files that are no concentration of the sample.
LOADS = {"tons/ac ft", "tons/day"}
FILES = ("wqx_usgs_36sites.csv", "wqx_rivers_timeseries.csv")


def _rows(open_data: Path, name: str) -> list[dict[str, str]]:
    with (open_data / "wqx" / name).open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def _sample(row: dict[str, str]) -> str:
    """Bottles of one sample are numbered behind a dot; a replicate is a sample of its own."""
    bottle = row["ActivityIdentifier"]
    return bottle if bottle.startswith("nwis") else bottle.rpartition(".")[0]


def _value(row: dict[str, str], key: str) -> float | None:
    unit = row["ResultMeasure/MeasureUnitCode"]
    try:
        value = float(row["ResultMeasureValue"])
    except ValueError:
        return None
    return to_canonical(key, unit, form=row["MethodSpeciationName"] or None, density=1.0)(value)


@pytest.mark.parametrize("name", FILES)
def test_every_unit_of_a_known_analyte_in_open_data_converts(open_data: Path, name: str) -> None:
    known: Counter[str] = Counter()
    for row in _rows(open_data, name):
        found = read_name(row["CharacteristicName"])
        unit = row["ResultMeasure/MeasureUnitCode"]
        if found is None or not unit:
            continue
        if unit in LOADS:
            with pytest.raises(UnitError, match="is no unit known here"):
                to_canonical(found.analyte, unit)
            continue
        form = row["MethodSpeciationName"] or None
        assert to_canonical(found.analyte, unit, form=form, density=1.0).factor > 0
        known[found.analyte] += 1
    assert len(known) >= 18
    assert known["total_hardness"] >= 30


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("key", ["nitrate", "nitrite"])
def test_one_analysis_reported_as_n_and_as_the_ion_agrees(
    open_data: Path, name: str, key: str
) -> None:
    by_form: dict[tuple[str, str], dict[str, float]] = {}
    for row in _rows(open_data, name):
        found = read_name(row["CharacteristicName"])
        if found is None or found.analyte != key or "kg" in row["ResultMeasure/MeasureUnitCode"]:
            continue
        value = _value(row, key) if row["ResultMeasureValue"] else None
        if value is None:
            continue
        form = read_unit(key, row["ResultMeasure/MeasureUnitCode"]).form
        sample = (row["ActivityIdentifier"], row["ResultSampleFractionText"])
        by_form.setdefault(sample, {})[form or row["MethodSpeciationName"]] = value
    pairs = [forms for forms in by_form.values() if len(forms) == 2]
    assert len(pairs) >= 3
    for forms in pairs:
        as_n, as_ion = forms["N"], forms["NO3" if key == "nitrate" else "NO2"]
        # Both are rounded to two or three digits in the files.
        assert as_n == pytest.approx(as_ion, rel=0.06, abs=0.005)


@pytest.mark.parametrize(
    ("name", "count", "low", "high"),
    # Spread of reported hardness against its ions, recomputed apart from this code.
    [("wqx_usgs_36sites.csv", 21, -0.003, 0.015), ("wqx_rivers_timeseries.csv", 31, -0.054, 0.067)],
)
def test_reported_hardness_is_that_of_calcium_and_magnesium(
    open_data: Path, name: str, count: int, low: float, high: float
) -> None:
    samples: dict[str, dict[str, float]] = {}
    for row in _rows(open_data, name):
        found = read_name(row["CharacteristicName"])
        if found is None or found.analyte not in ("calcium", "magnesium", "total_hardness"):
            continue
        if found.analyte != "total_hardness" and row["ResultSampleFractionText"] == "Total":
            continue  # hardness is of what is dissolved
        value = _value(row, found.analyte)
        if value is not None:
            samples.setdefault(_sample(row), {})[found.analyte] = value
    calcium = to_canonical("total_hardness", "mg/L as Ca").factor
    magnesium = to_canonical("magnesium_hardness", "mg/L as Mg").factor
    off = [
        sample["total_hardness"] / (calcium * sample["calcium"] + magnesium * sample["magnesium"])
        - 1
        for sample in samples.values()
        if len(sample) == 3
    ]
    assert len(off) == pytest.approx(count, abs=2)
    assert low - 0.002 <= min(off)
    assert max(off) <= high + 0.002
