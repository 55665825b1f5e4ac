"""Whether each bound is right for the fleet: as a document, a table, and words."""

from typing import Any

import numpy as np
import pandas as pd

from chemcheck.analytes import analyte
from chemcheck.assessment.bound_evidence import BoundEvidence
from chemcheck.assessment.forecast import Forecast
from chemcheck.reports.numbers import counted, number
from chemcheck.reports.text_layout import TIED, bullets, heading, paragraph

SIDES = ("inside", "outside")
_BEYOND = {"lower": "below", "upper": "above"}


def evidence_document(forecast: Forecast, evidence: BoundEvidence) -> dict[str, Any]:
    """Return what a fleet says of its bounds as a document can hold it.

    Parameters
    ----------
    forecast : Forecast
        Whose bounds they are.
    evidence : BoundEvidence
        What to say.

    Returns
    -------
    dict
        ``unit`` of the rates, ``per`` so much of the axis, ``confidence`` of the intervals, and
        ``bounds``; null where the data cannot tell.
    """
    return {
        "unit": evidence.unit,
        "per": evidence.per,
        "confidence": evidence.confidence,
        "bounds": [_bound(forecast, row) for row in evidence.bounds.to_dict("records")],
    }


def evidence_table(forecast: Forecast, evidence: BoundEvidence) -> pd.DataFrame:
    """Return one row a technology, analyte and bound.

    Parameters
    ----------
    forecast, evidence
        As for `evidence_document`.
    """
    table = evidence.bounds.copy()
    if len(table):
        columns = [forecast.readings.columns[k] for k in table.pop("column")]
        table.insert(0, "analyte", [column.analyte for column in columns])
        table.insert(1, "basis", [column.basis for column in columns])
        table["metals"] = table["metals"].str.join("; ")
        table["rates_in"] = f"{evidence.unit} per {evidence.per:g} {forecast.axis_unit}"
    return table


def evidence_text(forecast: Forecast, evidence: BoundEvidence) -> str:
    """Return what a fleet says of its bounds as a section of text.

    Parameters
    ----------
    forecast, evidence
        As for `evidence_document`.
    """
    said, *lines = evidence_lines(forecast, evidence)
    return "\n".join(
        [heading("Is the bound right for this fleet?"), paragraph(said), bullets(lines)]
    )


def evidence_lines(forecast: Forecast, evidence: BoundEvidence) -> list[str]:
    """Return what a fleet says of its bounds in sentences: what is compared, then each bound.

    Parameters
    ----------
    forecast, evidence
        As for `evidence_document`.
    """
    bounds = evidence.bounds
    rows = bounds.to_dict("records")
    compared = [row for row in rows if pd.isna(row["reason"])]
    placed = [row for row in rows if np.isfinite(row["threshold"])]
    per = f"{evidence.unit} per {evidence.per:,.0f}{TIED}{forecast.axis_unit}"
    said = (
        f"Metal released [{per}] while a value lay within its bound and beyond it, dilution by "
        f"top-ups taken out, with the {100 * evidence.confidence:.0f}{TIED}% interval. What a "
        "value does cannot be told from what age does where all fills age alike."
    )
    lines = [_compared(forecast, row) for row in compared]
    lines += [_placed(forecast, row) for row in placed]
    left = len(rows) - len(compared)
    if left:
        why = bounds["reason"].dropna().value_counts()
        most = f", mostly because {why.index[0]}" if len(why) else ""
        lines.append(f"Of {counted(left, 'other bound')} the data cannot tell{most}.")
    return [said, *lines]


def _bound(forecast: Forecast, row: dict[Any, Any]) -> dict[str, Any]:
    column = forecast.readings.columns[row["column"]]
    return {
        "analyte": column.analyte,
        "basis": column.basis,
        "technology": _text(row["technology"]),
        "side": row["side"],
        "bound": row["bound"],
        "limit_set": row["limit_set"],
        "evidence": row["evidence"],
        "metals": list(row["metals"]),
        **{
            side: {
                "rate": row[f"{side}_rate"],
                "interval": _ends(row, side),
                "units": int(row[f"{side}_units"]),
                "exposure": row[f"{side}_exposure"],
            }
            for side in SIDES
        },
        "difference": _ends(row, "difference"),
        "threshold": row["threshold"],
        "threshold_interval": _ends(row, "threshold"),
        "p_value": row["p_value"],
        "reason": _text(row["reason"]),
        "threshold_reason": _text(row["threshold_reason"]),
    }


def _ends(row: dict[Any, Any], name: str) -> dict[str, float | None]:
    return {"lower": row[f"{name}_low"], "upper": row[f"{name}_high"]}


def _text(value: Any) -> str | None:
    return None if pd.isna(value) else str(value)


def _what(forecast: Forecast, row: dict[Any, Any]) -> str:
    known = analyte(forecast.readings.columns[row["column"]].analyte)
    unit = "" if known.unit == known.title else f"{TIED}{known.unit}"
    kind = _text(row["technology"]) or "unknown technology"
    return f"{known.title} {_BEYOND[row['side']]} {number(row['bound'])}{unit}, {kind}"


def _rate(row: dict[Any, Any], side: str) -> str:
    ends = f"{number(row[f'{side}_low'], 2)} to {number(row[f'{side}_high'], 2)}"
    return f"{number(row[f'{side}_rate'], 2)} ({ends}; {counted(row[f'{side}_units'], 'unit')})"


def _compared(forecast: Forecast, row: dict[Any, Any]) -> str:
    low, high = row["difference_low"], row["difference_high"]
    if low > 0:
        verdict = "faster beyond it"
    elif high < 0:
        verdict = "slower beyond it, so that this bound says nothing of this fleet's metal"
    else:
        verdict = "the data cannot tell a difference"
    return (
        f"{_what(forecast, row)}: {_rate(row, 'inside')} within, {_rate(row, 'outside')} beyond; "
        f"{verdict} (difference {number(low, 2)} to {number(high, 2)})"
    )


def _placed(forecast: Forecast, row: dict[Any, Any]) -> str:
    ends = f"{number(row['threshold_low'])} to {number(row['threshold_high'])}"
    return (
        f"{_what(forecast, row)}: the rate changes at {number(row['threshold'])} ({ends}; "
        f"adjusted p = {row['p_value']:.2g})"
    )
