"""A forecast as text, 80 columns wide."""

import pandas as pd

from chemcheck.analytes import analyte
from chemcheck.assessment.backtest import Backtest
from chemcheck.assessment.bound_evidence import BoundEvidence
from chemcheck.assessment.forecast import Forecast
from chemcheck.limit_library import cautions
from chemcheck.reports.backtest_words import backtest_text
from chemcheck.reports.bound_choice_words import choice_of_bound
from chemcheck.reports.bound_evidence_words import evidence_text
from chemcheck.reports.forecast_tables import urgency
from chemcheck.reports.numbers import counted, number
from chemcheck.reports.odd_reading_words import odd_reading_lines
from chemcheck.reports.odd_sample_words import odd_sample_lines
from chemcheck.reports.offset_words import OFFSETS, offset_lines
from chemcheck.reports.suggestion_words import suggestion_lines
from chemcheck.reports.text_layout import TIED, bullets, heading, paragraph, table, visible

# So many units are listed; the rest is counted and stands in the other forms of output.
LISTED = 60


def forecast_text(
    forecast: Forecast, backtest: Backtest | None = None, evidence: BoundEvidence | None = None
) -> str:
    """Return a forecast as text.

    Parameters
    ----------
    forecast : Forecast
        What to say.
    backtest : Backtest or None
        How past forecasts did, where that was asked.
    evidence : BoundEvidence or None
        Whether each bound is right for the fleet.

    Returns
    -------
    str
        The sets in use, a sentence, the units by urgency, sources, assumptions, what was
        not forecast, cautions.
    """
    order = urgency(forecast)[:LISTED]
    sources: dict[str, int] = {}
    rows = [_unit_row(forecast, forecast.units.iloc[place], sources) for place in order]
    axis = forecast.axis_unit
    titles = ("unit", "reaches first", f"at {axis} of the fill", "change by", "sample by")
    parts = [
        paragraph("Bounds from: " + ", ".join(f"{s.id} {s.version}" for s in forecast.sets)),
        *_choice(forecast),
        paragraph(summary_sentence(forecast)),
        table(titles, rows),
    ]
    left = len(forecast.units) - len(order)
    if left:
        parts.append(paragraph(f"And {counted(left, 'unit')} less urgent: --format csv lists all."))
    if len(forecast.suggestions):
        parts.append(_section("Readings that break the pattern", suggestion_lines(forecast)))
    if len(forecast.odd_readings):
        parts.append(_section("Readings unlike their unit's history", odd_reading_lines(forecast)))
    if len(forecast.odd_samples):
        parts.append(_section("Samples that may not belong", odd_sample_lines(forecast)))
    if apart := offset_lines(forecast.readings, forecast.fits.levelled.offsets):
        parts.append(_section(OFFSETS, apart))
    parts.append(_section("What to do", work_to_do()))
    if evidence is not None and len(evidence.bounds):
        parts.append(evidence_text(forecast, evidence))
    if backtest is not None:
        parts.append(backtest_text(forecast, backtest))
    numbered = [paragraph(source, f"[{k}] ", "    ") for source, k in sources.items()]
    parts.append("\n".join([heading("Sources"), *numbered]))
    parts.append(_section("Assumptions", list(forecast.assumptions)))
    if len(forecast.remarks):
        parts.append(_section("Not forecast, or only roughly", remark_lines(forecast)))
    parts.append(_section("Cautions", list(cautions(forecast.cautions))))
    return visible("\n\n".join(parts) + "\n")


def _section(title: str, items: list[str]) -> str:
    return f"{heading(title)}\n{bullets(items)}"


def _choice(forecast: Forecast) -> list[str]:
    """Say first where the choice of bound is worth more than the band."""
    lines = choice_of_bound(forecast)
    if not lines:
        return []
    said = "Where sources differ, the choice of bound is worth more than the statistical band:"
    return [f"{paragraph(said)}\n{bullets(lines)}"]


def remark_lines(forecast: Forecast) -> list[str]:
    """Say each reason once, with what it holds for."""
    by_reason = forecast.remarks.groupby("reason", sort=False)["what"]
    return [f"{reason}: {'; '.join(dict.fromkeys(what))}" for reason, what in by_reason]


def summary_sentence(forecast: Forecast) -> str:
    """Say how many units are beyond a bound, and how many reach one."""
    units = forecast.units
    outside = int((units["status"] == "outside now").sum())
    inside = units["status"] != "outside now"
    undated = int((inside & units["rate"].isna() & (units["limiting"] >= 0)).sum())
    ahead = int((inside & units["change_by"].notna()).sum()) + undated
    no_date = f" ({undated} without a date: their rate of use is unknown)" if undated else ""
    return (
        f"{counted(len(units), 'unit')}: {outside} beyond a bound now, {ahead} that may reach "
        f"one{no_date}, {len(units) - outside - ahead} that reach none at the present rate. "
        f"Change by the date when the chance of having passed a bound is "
        f"{number(100 * forecast.settings.risk)}{TIED}%. Each bound is reached by the three "
        f"places given with a chance of 10, 50 and 90{TIED}%."
    )


def _unit_row(forecast: Forecast, unit: pd.Series, sources: dict[str, int]) -> tuple[str, ...]:
    limiting = unit["limiting"]
    if limiting < 0:
        reaches, places = "no bound at this rate", ""
    else:
        facing = forecast.analytes.loc[limiting]
        known = analyte(forecast.readings.columns[facing["column"]].analyte)
        source = f"{facing['limit_set']}: {facing['source']} ({facing['evidence']})"
        mark = sources.setdefault(source, len(sources) + 1)
        beyond = "below" if facing["side"] == "lower" else "above"
        value = number(facing["bound"])
        amount = value if known.unit == known.title else f"{value}{TIED}{known.unit}"
        reaches = f"{known.title} {beyond} {amount} [{mark}]"
        places = TIED.join(
            (_place(unit["p10"]), "-", _place(unit["p50"]), "-", _place(unit["p90"]))
        )
        if unit["status"] == "outside now":
            places = f"beyond it now, by {_place(unit['p50'])}"
    return (
        str(unit["unit_id"]),
        reaches,
        places,
        _date(unit["change_by"]),
        _date(unit["next_sample_by"]),
    )


def _place(value: float) -> str:
    return "later" if value == float("inf") else f"{value:.0f}"


def _date(value: pd.Timestamp) -> str:
    return "-" if pd.isna(value) else f"{value:%Y-%m-%d}".replace("-", "\u2011")


def work_to_do() -> list[str]:
    """Say what follows from a forecast, and what does not."""
    return [
        "Sample each unit by its date before deciding on a change; a result beyond a bound "
        "that rests on one sample is confirmed first.",
        "Sample outside the plan after a repair, an overheat, a large top-up or a new heat "
        "exchanger: a forecast knows nothing of those.",
        "A unit that reaches a bound is not thereby corrosive: look whether dissolved metals "
        "rise as well.",
    ]
