"""Every key that a document has is described in its schema, whatever the options."""

import json
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator

from chemcheck.cli.main import main
from chemcheck.reports.json_schema import documents, json_schema
from tests.reports.test_fleet_page import written

SAMPLES = Path(__file__).parents[2] / "sample_results"
TAP = "tap=pH=7.6; hardness=310 mg/L; alkalinity=240 mg/L; chloride=85 mg/L; sulfate=120 mg/L"
JOB = """
unit: HT-04
identity: {machine: haul truck}
system: 40 L
drains: 30 L
rinse_start: 49 %
rinses:
  - {in: 30 L, out: 30 L, reading: 13 %}
  - {out: 30 L}
refill: {concentrate: 20 L, water: 10 L, measured: 51 %}
"""


def sample(name: str) -> str:
    return str(SAMPLES / name)


RUNS: Mapping[str, tuple[str, ...]] = {
    "check laboratory": ("check", sample("lab_wide.csv"), "--system", "40 L", "--drains", "30 L"),
    "check top-up water": (
        "check", sample("lab_wide.csv"), "--rule", "guarded", "--top-up-water", "chloride=85 mg/L",
    ),
    "check strips": ("check", sample("strip_log.csv"), "--all-results", "--rule", "simple"),
    "check messy": ("check", sample("messy.csv")),
    "check new coolant": ("check", sample("received_goods.csv")),
    "check events": ("check", sample("fleet_history.csv"), "--events", sample("events.csv")),
    "check observations": ("check", sample("lab_wide.csv"), "--observations", "seen.csv"),
    "check own limits": ("check", sample("lab_wide.csv"), "--limits", sample("own_limits.yaml")),
    "check folder": (
        "check", sample("fleet_history.csv"), "--events", sample("events.csv"),
        "--unit", "HT-04", "--job", "job.yaml", "--plots", "charts", "--out", "unit",
    ),
    "water": ("water", sample("fill_water.csv")),
    "water system": (
        "water", sample("fill_water.csv"), "--system", "12 L", "--drains", "8 L",
        "--top-ups", "26 x 1 L", "--loss", "leak", "--hot-area", "0.4 m2",
        "--heat-flux", "60 kW/m2",
    ),
    "water evaporation": (
        "water", "--ph", "7.6", "--hardness", "18 gpg", "--calcium", "90", "--alkalinity", "240",
        "--chloride", "80-90", "--sulfate", "120", "--solids", "520", "--silica", "11",
        "--temperatures", "cold,60,film", "--film-temperature", "118 C", "--system", "12 L",
        "--top-ups", "26 L", "--loss", "evaporation",
    ),
    "water that is read in part": ("water", "--ph", "7.6", "--chloride", "85"),
    "blend": (
        "blend", "--source", f"{TAP}:2.40/m3", "--source", "deionised:40/m3",
        "--shares", "tap=40; deionised=60 %",
    ),
    "blend that will not do": (
        "blend", "--source", "hard=pH=7.6; hardness=310 mg/L; chloride=85 mg/L; sulfate=120 mg/L",
        "--source", "salt=pH=7.6; hardness=30 mg/L; chloride=285 mg/L; sulfate=20 mg/L",
    ),
    "forecast": ("forecast", "fleet.csv", "--backtest", "--out", "fleet"),
    "forecast printed": ("forecast", "fleet.csv", "--accept-suggestions"),
    "interval": ("interval", sample("fleet_history.csv"), "--events", sample("events.csv")),
    "interval by cost": (
        "interval", sample("fleet_history.csv"), "--events", sample("events.csv"),
        "--planned-cost", "300", "--failure-cost", "9000", "--delay", "1500",
        "--correction-cost", "100", "--sample-cost", "40",
    ),
    "refill": ("refill", "--system", "12 L", "--drains", "8 L", "--target", "50 %"),
    "refill a range": (
        "refill", "--system", "11-12 L", "--holds", "4 L", "--target", "50 %",
        "--current", "35-37 %", "--way", "adjust", "--concentrate", "93 %",
    ),
    "refill with premix": (
        "refill", "--system", "12 L", "--target", "50 %", "--premix", "50 %",
        "--readings", "50; 16.7 %",
    ),
    "refill that cannot reach": (
        "refill", "--system", "12 L", "--drains", "3 L", "--target", "60 %", "--current", "10 %",
    ),
    "refill from results": (
        "refill", "--system", "12 L", "--drains", "8 L", "--target", "50 %",
        "--coolant", sample("received_goods.csv"), "--coolant-sample", "R-001",
        "--reference", "expected.csv", "--unit", "U-1", "--filled-on", "2026-01-10",
        "--water", "chloride=12 mg/L", "--inside-water", "chloride=85 mg/L",
    ),
    # The fill that the run above expects, and what was found in it.
    "check expected fill": ("check", "expected.csv", "first.csv"),
    "rinse": ("rinse", "--system", "12 L", "--drains", "8 L"),
    "rinse proven": (
        "rinse", "--system", "12 L", "--drains", "8 L", "--readings", "50; 17; 6; 2 %",
        "--efficiency", "0.9", "--target", "0.5 %",
    ),
    "rinse by conductivity": (
        "rinse", "--system", "12 L", "--drains", "8 L", "--readings", "3000; 1020; 380 uS/cm",
        "--water", "20 uS/cm",
    ),
    "rinse by a log": ("rinse", "--system", "12 L", "--drains", "8 L", "--readings", "rinses.csv"),
    "rinse with tap water": (
        "rinse", "--system", "12 L", "--drains", "8 L", "--tap", "hardness=310 mg/L",
        "--tap", "chloride=85 mg/L", "--fill", "50 %", "--concentrate", "96 %",
    ),
    "dose": (
        "dose", "--system", "40 L", "--now", "600 mg/L", "--target", "1200 mg/L",
        "--strength", "60 g/L", "--also", "molybdenum=100 mg/L; 5 g/L",
        "--hardness", "100 mg/L", "--most", "2400 mg/L",
    ),
    "dose too much": (
        "dose", "--system", "40 L", "--now", "600-700 mg/L", "--target", "4000 mg/L",
        "--strength", "60 g/L", "--technology", "nitrited_organic_acid",
    ),
    "margins": (
        "margins", "--glycol", "ethylene", "--glycol-percent", "50 %", "--cap", "15 psi",
        "--cap-opens", "90 kPa", "--coldest", "-30 C", "--altitude", "2500 m", "--safety", "5 C",
        "--inlet-temperature", "95 C", "--suction-loss", "10 kPa", "--needed-head", "3 m",
        "--impeller", "60 mm", "--speed", "5000", "--pump-side", "radiator",
        "--burst", "50 %=-51 C", "--burst", "40 %=-40 C", "--system", "12 L",
        "--concentrate", "96 %",
    ),
    "margins measured": (
        "margins", "--freezing-point", "-30 C", "--refractive-index", "1.38", "--density",
        "1.07 kg/L", "--temperature", "20 C", "--ambient-pressure", "90 kPa",
    ),
    "margins by brix": (
        "margins", "--brix", "30", "--freezing-point", "-30 C", "--scale", "ethylene",
        "--basis", "inhibited",
    ),
    "limits list": ("limits", "list"),
    "limits check": ("limits", "check", sample("own_limits.yaml")),
    **{
        f"limits show {name}": ("limits", "show", name)
        for name in ("fill_water_default", "nitrited_organic_acid_in_service")
    },
    "a cause": ("limits", "show", "pump_cavitation"),
    "analytes": ("analytes",),
    "analytes of names": ("analytes", "silica", "pH"),
}  # fmt: skip


def closed(schema: Any, shared: Mapping[str, Any]) -> Any:
    """Forbid in every object what its schema does not name."""
    if isinstance(schema, list):
        return [closed(one, shared) for one in schema]
    if not isinstance(schema, dict):
        return schema
    made = {key: closed(value, shared) for key, value in schema.items()}
    kinds = made.get("type")
    if kinds != "object" and not (isinstance(kinds, list) and "object" in kinds):
        return made
    for part in _parts(made.pop("allOf", []), shared):
        made["properties"] = closed(part.get("properties", {}), shared) | made.get("properties", {})
        made["required"] = [*made.get("required", []), *part.get("required", [])]
    return {"additionalProperties": False} | made


def _parts(named: list[dict[str, str]], shared: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    for one in named:
        part = shared[one["$ref"].rpartition("/")[2]]
        yield from _parts(part.get("allOf", []), shared)
        yield part


@cache
def strict(name: str) -> Draft202012Validator:
    schema = json_schema(name)
    return Draft202012Validator(closed(dict(schema), schema["$defs"]))


def files(folder: Path) -> None:
    """Write what the runs read beside the samples."""
    written(folder)
    (folder / "job.yaml").write_text(JOB, encoding="utf-8")
    (folder / "seen.csv").write_text("Sample No,vane pits,gel\nB-001,yes,no\nB-002,no,yes\n")
    (folder / "rinses.csv").write_text("Sample No,Glycol (vol%)\nr0,50\nr1,17\nr2,6\n")
    (folder / "first.csv").write_text(
        "Sample No,Unit,Date,Technology,pH,Glycol (vol%),Chloride (mg/L)\n"
        "f-1,U-1,2026-01-12,organic acid,8.4,39,80\n"
    )


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> dict[str, list[dict[str, Any]]]:
    """Run every command of the list once; give the documents that each made."""
    folder = tmp_path_factory.mktemp("documents")
    files(folder)
    found = {}
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        for name, arguments in RUNS.items():
            form = () if "--out" in arguments else ("--format", "json")
            result = CliRunner().invoke(main, [*arguments, *form])
            assert result.exit_code in (0, 1), (name, result.stderr)
            texts = [result.stdout] if form else []
            for place in ("--out", "--plots"):
                if place in arguments:
                    out = Path(arguments[arguments.index(place) + 1])
                    texts += [file.read_text(encoding="utf-8") for file in out.glob("*.json")]
            found[name] = [json.loads(text) for text in texts]
            assert found[name]
    return found


@pytest.mark.parametrize("run", RUNS)
def test_every_key_of_a_document_is_described(made, run):
    for document in made[run]:
        name = document["schema"].split("/")[1]
        left = [
            f"{error.json_path}: {error.message[:200]}"
            for error in strict(name).iter_errors(document)
        ]
        assert left == []


def test_every_document_is_among_the_runs(made):
    seen = {document["schema"].split("/")[1] for each in made.values() for document in each}
    assert seen == set(documents())


@pytest.mark.parametrize("name", documents())
def test_no_object_is_left_undescribed(name):
    waiting: list[Any] = [json_schema(name)]
    while waiting:
        one = waiting.pop()
        if isinstance(one, list):
            waiting += one
        elif isinstance(one, Mapping):
            kinds = one.get("type", ())
            if kinds == "object" or (isinstance(kinds, list) and "object" in kinds):
                assert {"properties", "additionalProperties", "allOf"} & set(one), one
            waiting += one.values()


def test_a_key_that_is_not_described_is_found(made):
    document = made["blend"][0]
    assert not list(strict("blend").iter_errors(document))
    odd = document | {"waters": [document["waters"][0] | {"odd": 1}]}
    (error,) = strict("blend").iter_errors(odd)
    assert "'odd' was unexpected" in error.message
