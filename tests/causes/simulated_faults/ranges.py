"""The ranges of the YAML files beside this, as arrays."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np
import numpy.typing as npt
import yaml

from chemcheck.limit_library import methods
from chemcheck.limit_library.glycol_properties import GLYCOL_FILES, glycol_properties
from chemcheck.limit_library.methods import precision_of

Floats = npt.NDArray[np.float64]

FOLDER = Path(__file__).parent
GLYCOLS = GLYCOL_FILES

# What a fluid is made of; each reading is one of these or follows from them.
# fmt: off
ANALYTES = (
    "glycol", "ph", "reserve_alkalinity", "nitrite", "nitrate", "chloride", "sulfate",
    "fluoride", "phosphate", "glycolate", "lactate", "formate", "acetate", "oxalate",
    "carboxylates", "azoles", "silicon", "boron", "molybdenum", "sodium", "potassium",
    "calcium", "magnesium", "iron", "copper", "lead", "aluminium", "zinc", "tin", "chromium",
    "ammonium",
)
# fmt: on
INDEX = MappingProxyType({name: k for k, name in enumerate(ANALYTES)})


@dataclass(frozen=True)
class Panel:
    """What is measured: readings with their methods, and what was looked for."""

    name: str
    readings: tuple[str, ...]
    absolute: Floats
    relative: Floats
    detection: Floats
    # Standard deviation of a reading of nothing at all.
    blank: Floats
    # Ascending midpoints between the pads of a strip; empty where the reading is a number.
    pad_ends: tuple[Floats, ...]
    observations: tuple[str, ...]
    seen_on_sound: Floats


@dataclass(frozen=True)
class Pattern:
    """One cause: how it moves a coolant, where it can occur, what is seen beside it."""

    name: str
    row: str
    evidence: str
    moves: tuple[Mapping[str, Any], ...]
    whole: Mapping[str, tuple[float, float]]
    reads: Mapping[str, Any]
    only: Mapping[str, Any]
    observations: Mapping[str, float]


@dataclass(frozen=True)
class Ranges:
    """Everything that the YAML files say."""

    formulas: tuple[str, ...]
    technologies: tuple[str, ...]
    fresh_low: Floats
    fresh_high: Floats
    nitrite_floor: Floats
    tap_low: Floats
    tap_high: Floats
    keeps: Floats
    grows: Floats
    noise_absolute: Floats
    noise_relative: Floats
    detection: Floats
    scatter_absolute: Floats
    scatter_relative: Floats
    conditions: Mapping[str, Any]
    panels: Mapping[str, Panel]
    patterns: tuple[Pattern, ...]
    freezing: tuple[tuple[Floats, Floats], ...]


def _yaml(name: str) -> Any:
    return yaml.safe_load((FOLDER / name).read_text(encoding="utf-8"))


def _vector(values: Mapping[str, float], default: float = 0.0) -> Floats:
    unknown = set(values) - set(ANALYTES)
    if unknown:
        raise ValueError(f"no such analyte: {sorted(unknown)}")
    return np.array([values.get(name, default) for name in ANALYTES], dtype=float)


def _freezing(name: str) -> tuple[Floats, Floats]:
    """Freezing point over vol%, turned back up past the lowest point of the tables."""
    properties = glycol_properties(name)
    table = properties.of("freezing_point", "inhibited")[0]
    percent, celsius = np.asarray(table.percent), np.asarray(table.values)
    for beyond in properties.of("freezing_point_beyond"):
        percent = np.concatenate((percent, [68.0], beyond.percent))
        celsius = np.concatenate((celsius, celsius[-1:], beyond.values))
    return percent, celsius


def _pads(method: str, name: str) -> Floats:
    strip = methods()[method]
    if name not in strip.steps:
        return np.empty(0)
    pads = np.asarray(strip.steps[name], dtype=float)
    middle = (pads[1:] + pads[:-1]) / 2
    if name in strip.doubling:
        middle[1:] = np.sqrt(pads[1:-1] * pads[2:])
    return middle


def _panel(name: str, data: Mapping[str, Any], of_all: Mapping[str, Any]) -> Panel:
    own = data.get("readings") or of_all[data["same_readings_as"]]["readings"]
    by = [data.get("methods", {}).get(reading, data.get("method")) for reading in own]
    limits, strip = of_all["detection_limits"], of_all["strip_reading"]
    absolute, relative, detection, blank, ends = [], [], [], [], []
    for reading, method in zip(own, by, strict=True):
        precision = precision_of(methods()[method], reading)
        pads = _pads(method, reading)
        if pads.size:
            absolute.append(strip.get(reading, 0.0))
            relative.append(0.0 if reading in strip else strip["relative"])
            detection.append(0.0)
        else:
            absolute.append(precision.absolute)
            relative.append(precision.relative)
            detection.append(_detection(reading, precision.detection_limit, limits))
        # A third of the detection limit; of a strip, of half its first step.
        blank.append(max(pads[0] if pads.size and reading != "ph" else detection[-1], 0) / 3)
        ends.append(pads)
    seen = of_all["seen_on_sound_units"]
    return Panel(
        name,
        tuple(own),
        np.array(absolute),
        np.array(relative),
        np.array(detection),
        np.array(blank),
        tuple(ends),
        tuple(data["observations"]),
        np.array([seen[each] for each in data["observations"]]),
    )


def _detection(name: str, of_method: float | None, limits: Mapping[str, float]) -> float:
    if name in ("glycol", "freezing_point", "ph", "reserve_alkalinity", "total_hardness"):
        return 0.0 if name != "freezing_point" else -np.inf
    return of_method or limits.get(name, limits["default_limit"])


def _pattern(name: str, data: Mapping[str, Any]) -> Pattern:
    moves = data.get("moves", {})
    return Pattern(
        name,
        data["row"],
        data["evidence"],
        tuple({**moves, **variant} for variant in data.get("one_of", [{}])),
        {
            key: tuple(data[key])
            for key in (
                "water",
                "water_to_glycol",
                "concentrate_to",
                "other_fluid",
                "other_unit",
                "fresh",
                "tap_metals",
                "boiled_off",
            )
            if key in data
        },
        data.get("reads", {}),
        data.get("only", {}),
        data.get("observations", {}),
    )


@cache
def ranges() -> Ranges:
    """Read the YAML files."""
    fluids, conditions, panels = (
        _yaml("fluids.yaml"),
        _yaml("conditions.yaml"),
        _yaml("panels.yaml"),
    )
    formulas = fluids["formulas"]
    spans = [
        {**fluids["common"], **{k: v for k, v in each.items() if isinstance(v, list)}}
        for each in formulas.values()
    ]
    tap = conditions["tap_water"]
    ageing, scatter = conditions["ageing"], conditions["scatter"]
    precisions = [precision_of(methods()["laboratory_coolant"], name) for name in ANALYTES]
    limits = panels["detection_limits"]
    scatters = {"ph": 0.0, "glycol": scatter["glycol"]}
    return Ranges(
        tuple(formulas),
        tuple(each["technology"] for each in formulas.values()),
        np.array([_vector({k: v[0] for k, v in span.items()}) for span in spans]),
        np.array([_vector({k: v[1] for k, v in span.items()}) for span in spans]),
        np.array([each.get("nitrite_floor", np.nan) for each in formulas.values()]),
        _vector({k: v[0] for k, v in tap.items()}),
        _vector({k: v[1] for k, v in tap.items()}),
        _vector(ageing["keeps"], 1.0),
        _vector({**ageing["to"], "ph": ageing["ph"]}),
        np.array([each.absolute for each in precisions]),
        np.array([each.relative for each in precisions]),
        np.array(
            [
                _detection(name, each.detection_limit, limits)
                for name, each in zip(ANALYTES, precisions, strict=True)
            ]
        ),
        _vector({"ph": scatter["ph"]}),
        _vector(scatters, scatter["relative"]),
        conditions,
        {
            name: _panel(name, data, panels)
            for name, data in panels.items()
            if isinstance(data, dict) and "observations" in data
        },
        tuple(_pattern(name, data) for name, data in _yaml("patterns.yaml").items()),
        tuple(_freezing(name) for name in GLYCOLS),
    )
