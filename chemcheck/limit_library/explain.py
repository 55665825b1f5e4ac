"""A limit set in rows that a person reads."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from chemcheck.analytes import analyte as analyte_of
from chemcheck.limit_library.records import (
    AnalyteLimit,
    Bound,
    Combination,
    Comparison,
    Condition,
    Evidence,
    Kind,
    LimitSet,
    Rule,
)

_AT = {"lower": "at least", "upper": "at most"}


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One bound or rule in words.

    Parameters
    ----------
    key : str
        The analyte's key, or the rule's id.
    title : str
        The words a person reads.
    basis : str
        How the analyte is measured, in words; empty where there is only one way.
    kind : {"action", "warning"}
        Only a broken action bound makes a sample unfit.
    requirement : str
        ``at most 40 mg/L``, ``at least 50 % of the fresh fill``, ...
    quoted : str
        The range the source quotes, and how far sources lie apart; empty where neither.
    applies : str
        What it applies to and when it does not decide; empty where always.
    essential : bool
        Whether a sample without it cannot be fit.
    consequence, source, evidence : str
        As in the set.
    """

    key: str
    title: str
    basis: str
    kind: Kind
    requirement: str
    quoted: str
    applies: str
    essential: bool
    consequence: str
    source: str
    evidence: Evidence


def explain(limit_set: LimitSet) -> tuple[LimitRow, ...]:
    """Return every bound and rule of a set in words, in the order of the file.

    Parameters
    ----------
    limit_set : LimitSet
        Any set.

    Returns
    -------
    tuple of LimitRow
        One row a bound, then one a rule.

    Examples
    --------
    >>> from chemcheck.limit_library import load_set
    >>> row = explain(load_set("fill_water_default"))[0]
    >>> row.title, row.requirement, row.essential
    ('total hardness', 'at most 170 mg/L as CaCO3', True)
    """
    rows: dict[LimitRow, list[str]] = {}
    for limit in limit_set.limits:
        for row in _limit_rows(limit, limit_set):
            rows.setdefault(replace(row, basis=""), []).append(row.basis)
    # Bounds that hold for several bases alike are one row.
    alike = [replace(row, basis="; ".join(bases)) for row, bases in rows.items()]
    return (*alike, *(_rule_row(rule) for rule in limit_set.rules))


def requirement_words(requirement: Comparison | Combination) -> str:
    """Write what a rule asks for as one sentence part.

    Examples
    --------
    >>> requirement_words(
    ...     Comparison("sum", (("chloride", 1.0), ("sulfate", 1.0)), "upper", 200.0, "mg/L")
    ... )
    'chloride + sulfate at most 200 mg/L'
    """
    if isinstance(requirement, Comparison):
        sign = " + " if requirement.kind == "sum" else " / "
        terms = sign.join(
            analyte_of(key).title if factor == 1 else f"{factor:.4g} × {analyte_of(key).title}"
            for key, factor in requirement.terms
        )
        number = f"{requirement.value:.10g} {requirement.unit}".rstrip()
        return f"{terms} {_AT[requirement.side]} {number}"
    word = " or " if requirement.kind == "any_of" else " and "
    return word.join(
        f"({requirement_words(part)})" if isinstance(part, Combination) else requirement_words(part)
        for part in requirement.parts
    )


def _limit_rows(limit: AnalyteLimit, limit_set: LimitSet) -> Iterator[LimitRow]:
    analyte = analyte_of(limit.analyte)
    basis = analyte.basis(limit.basis)
    for bound in limit.bounds:
        yield LimitRow(
            key=limit.analyte,
            title=analyte.title,
            basis="" if basis is None else basis.title,
            kind=bound.kind,
            requirement=f"{_AT[bound.side]} {_amount(bound, limit, bound.value)}",
            quoted=_quoted(bound, limit),
            applies=_applies(limit),
            essential=limit.analyte in limit_set.essential,
            consequence=bound.consequence,
            source=bound.source,
            evidence=bound.evidence,
        )


def _rule_row(rule: Rule) -> LimitRow:
    return LimitRow(
        key=rule.id,
        title=rule.title,
        basis="",
        kind=rule.kind,
        requirement=requirement_words(rule.requirement),
        quoted="",
        applies=_applies(rule),
        essential=False,
        consequence=rule.consequence,
        source=rule.source,
        evidence=rule.evidence,
    )


def _amount(bound: Bound, limit: AnalyteLimit, *values: float) -> str:
    """Write one number, or the two ends of a range, with the unit."""
    analyte = analyte_of(limit.analyte)
    if bound.of_fresh:
        return f"{_span(value * 100 for value in values)} % of the fresh fill"
    if analyte.words:
        return " to ".join(analyte.words[round(value)][0] for value in values)
    basis = analyte.basis(limit.basis)
    unit = analyte.unit if basis is None or basis.unit is None else basis.unit
    return f"{_span(values)} {'' if unit in ('1', 'pH') else unit}".rstrip()


def _span(values: Iterable[float]) -> str:
    return " to ".join(f"{value:.4g}" for value in values)


def _quoted(bound: Bound, limit: AnalyteLimit) -> str:
    said = []
    if bound.quoted is not None:
        said.append(f"the source quotes {_amount(bound, limit, *bound.quoted)}")
    if bound.spread is not None:
        said.append(f"sources lie from {_amount(bound, limit, *bound.spread)}")
    return "; ".join(said)


def _applies(subject: AnalyteLimit | Rule) -> str:
    said = []
    for keys in (subject.technologies, subject.glycols):
        if keys:
            said.append("only " + " or ".join(key.replace("_", " ") for key in sorted(keys)))
    said.extend(_condition_words(condition) for condition in subject.conditions)
    return "; ".join(said)


def _condition_words(condition: Condition) -> str:
    analyte = analyte_of(condition.analyte)
    unit = "" if analyte.unit in ("1", "pH") else f" {analyte.unit}"
    spans = (("below", condition.below), ("above", condition.above))
    where = " or ".join(f"{word} {value:.4g}{unit}" for word, value in spans if value is not None)
    return (
        f"{condition.then} where {analyte.title} is {where} "
        f"({condition.source}; {condition.evidence})"
    )
