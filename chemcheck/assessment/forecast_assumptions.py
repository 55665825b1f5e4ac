"""What a forecast takes for granted, and why there is none, in words."""

from collections.abc import Iterable, Iterator

import pandas as pd

from chemcheck.assessment.levelled_fleet import ONE_LEVEL, LevelledFleet
from chemcheck.assessment.trend_rows import TrendRows

# So much is named for one reason in a line.
NAMED = 3


def forecast_assumptions(
    levelled: LevelledFleet, rows: TrendRows, units: pd.DataFrame
) -> Iterator[str]:
    """Say what a forecast takes for granted."""
    readings, dilution = levelled.readings, levelled.dilution
    yield (
        "Each unit goes on as it was used and topped up so far; the bounds are taken as "
        "independent of each other."
    )
    if references := dilution.references():
        yield (
            "Rates are those of readings corrected for dilution, by "
            + ", ".join(references)
            + "; a bound is passed by the uncorrected value."
        )
    if levelled.offsets:
        yield ONE_LEVEL
    if not units["origin_logged"].all():
        yield (
            f"{(~units['origin_logged']).sum()} of {len(units)} units have no logged change: "
            "the age of their fill counts from its first sample."
        )
    if not units["rate_own"].all():
        yield (
            f"{(~units['rate_own']).sum()} of {len(units)} units have too few dated samples for "
            "a rate of use of their own: dates use the fleet's median."
        )
    if (readings.shared_factor[rows.usable] > 1).any():
        yield "ppm of coolant is taken as mg/L in trends; mg/kg would raise all readings alike."


def said_once(remarks: Iterable[tuple[str, str]], named: int = NAMED) -> str:
    """Say each reason once, with what it holds for, in one line.

    Parameters
    ----------
    remarks : iterable of (str, str)
        What, and the reason.
    named : int
        So much is named for each reason; the rest is counted.

    Examples
    --------
    >>> said_once([("iron", "too few readings"), ("lead", "too few readings"), ("pH", "one age")])
    'too few readings (iron; lead); one age (pH)'
    """
    by_reason: dict[str, list[str]] = {}
    for what, why in remarks:
        known = by_reason.setdefault(why, [])
        if what not in known:
            known.append(what)
    said = []
    for why, names in by_reason.items():
        more = f" and {len(names) - named} more" if len(names) > named else ""
        said.append(f"{why} ({'; '.join(names[:named])}{more})")
    return "; ".join(said)
