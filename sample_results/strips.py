"""A strip log as a mechanic keeps it: pads, a lot number, a word or two."""

from __future__ import annotations

from random import Random

from circuit import gauss
from depot import COOLANTS
from history import Story

# Pads of a generic strip (memory: every lot's own chart wins).
PADS = {
    "NO2": (0, 300, 600, 800, 1200, 1600, 2400, 3200),
    "pH": (6.0, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0, 10.0, 11.0),
    "glycol": (0, 15, 20, 25, 33, 40, 50, 60),
}
TITLES = (
    "Date", "Unit", "Hours", "Technology", "Method", "Lot", "pH", "Nitrite NO2 (mg/L)",
    "Glycol (%)", "Appearance", "Note",
)  # fmt: skip


def nearest(pads: tuple[float, ...], value: float) -> str:
    """Return the pad whose colour a value shows."""
    return f"{min(pads, key=lambda pad: abs(pad - value)):g}"


def log(story: Story, seed: int) -> list[dict[str, str]]:
    """Return every fifth bottle as the strips beside it would have read."""
    dice = Random(f"{seed} strips")
    rows = []
    for number, sample in enumerate(story.samples):
        if number % 5 or sample.kind != "routine":
            continue
        state = sample.state
        nitrite = "NO2" in COOLANTS[sample.unit.coolant].contents
        cloudy = state.get("Fe", 0.0) > 12 or state["pH"] < 7
        values = (
            sample.day.isoformat(),
            sample.unit.name,
            "" if sample.hours is None else f"{sample.hours:.0f}",
            COOLANTS[sample.unit.coolant].technology if sample.unit.stated else "",
            "strip",
            "S2407" if sample.day.year == 2024 else "S2511",
            nearest(PADS["pH"], state["pH"] + 0.1 * gauss(dice)),
            nearest(PADS["NO2"], state["NO2"] * (1 + 0.06 * gauss(dice))) if nitrite else "0",
            nearest(PADS["glycol"], state["glycol"] + gauss(dice)),
            "slightly cloudy" if cloudy else "clear",
            "smells burnt"
            if "overheating" in sample.unit.faults and sample.day.year > 2024
            else "",
        )
        rows.append(dict(zip(TITLES, values, strict=True)))
    return rows
