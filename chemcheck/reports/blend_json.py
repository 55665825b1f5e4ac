"""What `blend` says as a JSON document and as CSV."""

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd

from chemcheck._version import __version__
from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.blend_record import BlendAnswer, Blended
from chemcheck.judging.record import INSIDE, NO_RESULT, STATE_NAMES
from chemcheck.judging.result_values import result_values
from chemcheck.limit_library import cautions
from chemcheck.reports.blend_document import blend_document
from chemcheck.reports.json_text import json_value
from chemcheck.reports.safe_tables import safe_csv

SCHEMA = "chemcheck/blend/1"
DIGITS = 9


def blend_json(answer: BlendAnswer) -> str:
    """Return a mixture as the text of its JSON document.

    Parameters
    ----------
    answer : BlendAnswer
        The mixture.

    Returns
    -------
    str
        ``tap_share_max`` is the largest share of water that is not deionised [1],
        ``controlled_by`` the analyte or rule that limits it, ``blended`` what the mixture of
        ``shares`` holds by the readings as reported; null and ``conflict`` where no mixture is
        possible, and ``nearest`` then comes nearest. ``stated`` is the mixture asked about.
    """
    return json_value(blend_record(answer)) + "\n"


def blend_record(answer: BlendAnswer) -> dict[str, Any]:
    """Return a mixture as a JSON document.

    Parameters
    ----------
    answer : BlendAnswer
        The mixture.
    """
    mixed = _mixed(answer, answer.cheapest) if answer.possible else None
    control = answer.tap_controlled_by
    nothing = dict.fromkeys(("shares", "cost_per_litre", "active_bounds", "blended", "ph",
                             "verdict", "verdicts", "because", "results"))  # fmt: skip
    return {
        "schema": SCHEMA,
        "version": __version__,
        "limit_sets": [
            {"id": one.id, "version": one.version, "sha256": one.sha256}
            for one in answer.limit_sets
        ],
        "rule": answer.rule,
        "answer": blend_document(answer).sentence,
        "possible": answer.possible,
        "tap_share_max": _number(answer.tap_share_max),
        "controlled_by": None if control is None else control.key,
        **(mixed or nothing),
        "with_uncertainty": None if answer.with_room is None else _mixed(answer, answer.with_room),
        "stated": _mixed(answer, answer.stated),
        "conflict": list(_conflict(answer)),
        "nearest": None if answer.possible else _mixed(answer, answer.cheapest),
        "waters": [
            {
                "name": water.name,
                "from": water.origin,
                "samples": water.samples,
                "cost_per_litre": water.cost if answer.costs_given else None,
                "verdict": water.verdict if water.samples else None,
            }
            for water in answer.waters
        ],
        "left_out": list(answer.left_out),
        "assumptions": list(answer.assumptions),
        "questions": list(answer.questions),
        "cautions": list(cautions(answer.cautions)),
    }


def blend_csv(answer: BlendAnswer) -> str:
    """Return the numbers of a mixture as CSV.

    Parameters
    ----------
    answer : BlendAnswer
        The mixture.

    Returns
    -------
    str
        A row for each share and each analyte of a mixture; empty cells where there is no number.
    """
    columns = ["mixture", "quantity", "name", "value", "lower", "upper", "unit", "state"]
    return safe_csv(pd.DataFrame(list(_rows(answer)), columns=columns))


def _mixed(answer: BlendAnswer, blended: Blended | None) -> dict[str, Any] | None:
    """Return what is said of one mixture."""
    if blended is None:
        return None
    mixture = blended.mixture
    return {
        "shares": {
            water.name: round(share, DIGITS)
            for water, share in zip(answer.waters, mixture.shares.tolist(), strict=True)
        },
        "cost_per_litre": _number(mixture.cost) if answer.costs_given else None,
        "active_bounds": [answer.bounds[k].key for k in mixture.controlled_by],
        "blended": {
            column.analyte: {
                "lower": _number(one.lower),
                "upper": _number(one.upper),
                "u": _number(one.u),
                "unit": analyte_of(column.analyte).unit,
            }
            for column, one in blended.held.items()
        },
        "ph": {
            name: {"lower": _number(ends[0]), "upper": _number(ends[1])}
            for name, ends in (
                ("closed", blended.ph.closed),
                ("open_to_air", blended.ph.open_to_air),
            )
        },
        "verdict": blended.verdict,
        "verdicts": blended.verdicts,
        "because": blended.because,
        "results": list(_results(blended)),
    }


def _results(blended: Blended) -> Iterator[dict[str, Any]]:
    """Give the results of a mixture, the interval as judged: readings and methods together."""
    judged = blended.assessment.headline
    places = np.flatnonzero(judged.state[0] != NO_RESULT)
    values = result_values(judged, np.zeros(places.size, dtype=np.intp), places)
    for k, place in enumerate(places.tolist()):
        quantity, decisive = judged.quantities[place], int(judged.decisive[0, place])
        bound = judged.bounds[decisive] if decisive >= 0 else None
        yield {
            "analyte": quantity.key,
            "lower": _number(float(values.lower[k])),
            "upper": _number(float(values.upper[k])),
            "unit": quantity.unit,
            "state": STATE_NAMES[judged.state[0, place]],
            "bound": float(values.bound[k]),
            "side": None if bound is None else bound.side,
            "limit_set": None if bound is None else bound.limit_set,
            "source": None if bound is None else bound.source,
            "evidence": None if bound is None else bound.evidence,
        }


def _conflict(answer: BlendAnswer) -> Iterator[dict[str, Any]]:
    if answer.possible or answer.cheapest is None:
        return
    mixture = answer.cheapest.mixture
    for place in mixture.controlled_by:
        bound = answer.bounds[place]
        yield {
            "bound": bound.key,
            "title": bound.title,
            "side": bound.side,
            "value": bound.value,
            "unit": bound.unit,
            "nearest": _number(float(mixture.held[place])),
        }


def _rows(answer: BlendAnswer) -> Iterator[tuple[object, ...]]:
    first = "cheapest" if answer.possible else "nearest"
    yield "", "tap share at most", "", _number(answer.tap_share_max), None, None, "1", ""
    mixtures = (
        (first, answer.cheapest),
        ("with uncertainty", answer.with_room),
        ("stated", answer.stated),
    )
    for name, blended in mixtures:
        if blended is None:
            continue
        for water, share in zip(answer.waters, blended.mixture.shares.tolist(), strict=True):
            yield name, "share", water.name, _number(share), None, None, "1", ""
        if answer.costs_given:
            cost = _number(blended.mixture.cost)
            yield name, "cost", "", cost, None, None, "per litre", ""
        states = _states(blended)
        for column, one in blended.held.items():
            ends = _number(one.lower), _number(one.upper)
            unit, key = analyte_of(column.analyte).unit, column.analyte
            yield name, "blended", key, None, *ends, unit, states.get(key, "")


def _states(blended: Blended) -> dict[str, str]:
    judged = blended.assessment.headline
    return {
        quantity.key: STATE_NAMES[judged.state[0, place]]
        for place, quantity in enumerate(judged.quantities)
        if judged.state[0, place] >= INSIDE
    }


def _number(value: float) -> float:
    """Return a number without the noise of its last digits; NaN and infinity as they are."""
    return float(f"{value:.{DIGITS}g}") if math.isfinite(value) else value
