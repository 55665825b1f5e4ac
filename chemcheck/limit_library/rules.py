"""Requirements on several readings at once: sums, ratios, and what they combine to."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

from chemcheck.errors import LimitFileError
from chemcheck.limit_library.bounds import KINDS, SIDES
from chemcheck.limit_library.conditions import DROP, Scope, read_conditions, read_scope
from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.provenance import PROVENANCE_KEYS, Density, Provenance
from chemcheck.limit_library.records import Combination, Comparison, Kind, Rule, Side
from chemcheck.limit_library.scale import UNIT_KEYS, read_analyte, read_scale

_COMPARISONS = ("sum", "ratio")
_COMBINATIONS = ("any_of", "all_of")
_REQUIREMENTS = (*_COMPARISONS, *_COMBINATIONS)
_COMPARISON_KEYS = (*_COMPARISONS, *SIDES, "unit")
_RULE_KEYS = (
    *_REQUIREMENTS,
    *SIDES,
    *PROVENANCE_KEYS,
    "unit",
    "title",
    "kind",
    "when",
    "applies_to",
)


@dataclass(frozen=True, slots=True)
class DraftRule:
    """A rule as one file states it.

    Parameters
    ----------
    at : Located
        Where it stands.
    rule : Rule or None
        None where the file drops it.
    """

    at: Located
    rule: Rule | None


def read_rules(node: Located, above: Provenance) -> dict[str, DraftRule]:
    """Read the rules of a file, by their id."""
    return {
        key: DraftRule(entry, None if entry.is_text(DROP) else _read_rule(key, entry, above))
        for key, entry in node.mapping().items()
    }


def _read_rule(key: str, node: Located, above: Provenance) -> Rule:
    fields = node.fields(_RULE_KEYS, ("title",))
    here = above.below(fields)
    source, evidence = here.sourced(node)
    if not here.consequence:
        node.refuse("has no consequence; add `consequence:`, one sentence")
    try:
        requirement = _read_requirement(node, fields, None)
    except LimitFileError:
        if here.density is None:
            raise
        requirement = _read_requirement(node, fields, here.density)
        source = f"{source}; {here.density.words}"
    kind = fields["kind"].one_of(KINDS, "kind") if "kind" in fields else "action"
    scope = read_scope(fields["applies_to"]) if "applies_to" in fields else Scope()
    return Rule(
        id=key,
        title=fields["title"].text(),
        kind=cast(Kind, kind),
        requirement=requirement,
        conditions=read_conditions(fields["when"], here) if "when" in fields else (),
        consequence=here.consequence,
        source=source,
        evidence=evidence,
        technologies=scope.technologies,
        glycols=scope.glycols,
    )


def _read_requirement(
    node: Located, fields: Mapping[str, Located], density: Density | None
) -> Comparison | Combination:
    found = [kind for kind in _REQUIREMENTS if kind in fields]
    if len(found) != 1:
        node.refuse(f"expected one of: {', '.join(_REQUIREMENTS)}")
    kind = found[0]
    if kind in _COMPARISONS:
        return _read_comparison(node, kind, fields, density)
    for key in (*SIDES, "unit"):
        if key in fields:
            fields[key].refuse(f"belongs to a sum or a ratio below {kind}")
    parts = fields[kind].entries()
    if len(parts) < 2:
        fields[kind].refuse("expected at least two requirements to combine")
    return Combination(
        "any_of" if kind == "any_of" else "all_of",
        tuple(
            _read_requirement(part, part.fields((*_COMPARISON_KEYS, *_COMBINATIONS)), density)
            for part in parts
        ),
    )


def _read_comparison(
    node: Located, kind: str, fields: Mapping[str, Located], density: Density | None
) -> Comparison:
    sides = [side for side in SIDES if side in fields]
    if len(sides) != 1:
        node.refuse("expected one of `lower:` and `upper:`")
    side: Side = sides[0]
    value = fields[side].number()
    entries = fields[kind].entries()
    if kind == "ratio":
        if len(entries) != 2:
            fields[kind].refuse(f"a ratio has two analytes, found {len(entries)}")
        if "unit" in fields:
            fields["unit"].refuse("a ratio has no unit; state that of an analyte beside it")
        terms = tuple(_read_term(entry, {}, density) for entry in entries)
        return Comparison("ratio", terms, side, value)
    if not entries:
        fields[kind].refuse("expected at least one analyte")
    if "unit" not in fields:
        node.refuse("has no unit; add `unit:`, that of the bound and of every analyte")
    unit = {"unit": fields["unit"]}
    terms = tuple(_read_term(entry, unit, density) for entry in entries)
    return Comparison("sum", terms, side, value, fields["unit"].text())


def _read_term(
    node: Located, unit: Mapping[str, Located], density: Density | None
) -> tuple[str, float]:
    """Read an analyte of a comparison, with the factor from its canonical unit."""
    fields = {"analyte": node}
    if isinstance(node.content, Mapping):
        fields = dict(node.fields(("analyte", *UNIT_KEYS), ("analyte",)))
    analyte = read_analyte(fields["analyte"].text(), fields["analyte"])
    stated = {**unit, **{key: fields[key] for key in UNIT_KEYS if key in fields}}
    if not stated:
        return analyte.key, 1.0
    scale = read_scale(analyte, stated, density, node)
    if scale.map.offset:
        node.refuse(f"{analyte.title} in this unit has no natural zero: it cannot be added")
    return analyte.key, 1.0 / scale.map.factor
