"""Two limit sets that judge a sample together."""

from dataclasses import replace
from hashlib import sha256

from chemcheck.limit_library.records import AnalyteLimit, LimitSet

# Between the ids of two sets that judge together.
JOINT = "+"


def both_sets(first: LimitSet, second: LimitSet) -> LimitSet:
    """Return the set that asks what either of two sets asks.

    Parameters
    ----------
    first, second : LimitSet
        Of one material. Where both have a bound of one analyte, side and kind, or a rule of
        one id, that of the first counts.

    Returns
    -------
    LimitSet
        With both ids, and with the essentials of both.

    Examples
    --------
    >>> from chemcheck.limit_library.load import load_set
    >>> both = both_sets(load_set("new_prediluted_ethylene_glycol"), load_set("received_mix"))
    >>> both.id, both.essential
    ('new_prediluted_ethylene_glycol+received_mix', ('ph', 'freezing_point', 'glycol'))
    """
    limits = {(limit.analyte, limit.basis): limit for limit in second.limits}
    for limit in first.limits:
        place = limit.analyte, limit.basis
        limits[place] = _both_limits(limit, limits[place]) if place in limits else limit
    rules = {rule.id: rule for rule in (*second.rules, *first.rules)}
    return replace(
        first,
        id=f"{first.id}{JOINT}{second.id}",
        version=f"{first.version}{JOINT}{second.version}",
        title=f"{first.title}; {second.title}",
        technologies=first.technologies or second.technologies,
        glycols=first.glycols or second.glycols,
        essential=tuple(dict.fromkeys((*first.essential, *second.essential))),
        limits=tuple(limits.values()),
        rules=tuple(rules.values()),
        cautions=tuple(dict.fromkeys((*first.cautions, *second.cautions))),
        note=f"{first.note} {second.note}".strip(),
        sha256=sha256(f"{first.sha256}{second.sha256}".encode()).hexdigest(),
        partial=first.partial or second.partial,
    )


def _both_limits(first: AnalyteLimit, second: AnalyteLimit) -> AnalyteLimit:
    """Return the bounds of both; conditions and scope are those of the first."""
    bounds = {(bound.side, bound.kind): bound for bound in (*second.bounds, *first.bounds)}
    return replace(first, bounds=tuple(bounds.values()))
