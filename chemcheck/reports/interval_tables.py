"""Change intervals as a table of the groups."""

import pandas as pd

from chemcheck.assessment.interval import Intervals
from chemcheck.reports.interval_json import interval_document

COLUMNS = (
    "group",
    "units",
    "fills",
    "failures",
    "censored",
    "interval_by_risk",
    "interval_by_risk_reason",
    "interval_by_cost",
    "cost_rate",
    "saving",
    "no_benefit_reason",
)


def group_table(answer: Intervals) -> pd.DataFrame:
    """Return one row a group.

    Parameters
    ----------
    answer : Intervals
        What to say.

    Returns
    -------
    DataFrame
        ``COLUMNS``, then family, scale and shape of the lifetime, the confidence limits of
        the interval by risk and the flat range; empty where there is none.
    """
    groups = interval_document(answer)["groups"]
    table = pd.DataFrame([{name: group[name] for name in COLUMNS} for group in groups])
    for name in ("family", "scale", "shape"):
        table[name] = [(group["model"] or {}).get(name) for group in groups]
    for end in ("lower", "upper"):
        limits = [(group["interval_by_risk_limits"] or {}).get(end) for group in groups]
        table[f"interval_by_risk_{end}"] = limits
    for place, end in enumerate(("lower", "upper")):
        table[f"flat_range_{end}"] = [
            (group["flat_range"] or (None, None))[place] for group in groups
        ]
    return table
