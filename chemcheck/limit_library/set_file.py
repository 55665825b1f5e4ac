"""One file of a limit set as it stands, and a file laid over the set that it extends."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from chemcheck.limit_library.bounds import DraftBound, DraftLimit, read_limits
from chemcheck.limit_library.conditions import Scope
from chemcheck.limit_library.located_yaml import Located, read_yaml
from chemcheck.limit_library.provenance import PROVENANCE_KEYS, Provenance
from chemcheck.limit_library.rules import DraftRule, read_rules
from chemcheck.limit_library.set_head import HEAD_KEYS, Head, read_head

_SET_KEYS = (
    *HEAD_KEYS,
    *PROVENANCE_KEYS,
    "essential",
    "partial",
    "note",
    "cautions",
    "limits",
    "rules",
)
_NOTHING_TO_DROP = "drops what the set that it extends does not have"


@dataclass(frozen=True, slots=True)
class DraftSet:
    """A limit set before it is whole.

    Parameters
    ----------
    whole : Located
        The file, for errors.
    path : Path
        The file.
    data : bytes
        The file's bytes, followed by those of the sets it extends.
    head : Head
        What it is and applies to.
    essential, cautions : Located or None
        The lists, None where no file of the chain states them.
    partial, note : str
        Of this file alone: they speak of what stands in it.
    limits : mapping of (str, str or None) to DraftLimit
        By analyte and basis.
    rules : mapping of str to DraftRule
        By id.
    """

    whole: Located
    path: Path
    data: bytes
    head: Head
    essential: Located | None
    cautions: Located | None
    partial: str
    note: str
    limits: Mapping[tuple[str, str | None], DraftLimit]
    rules: Mapping[str, DraftRule]


def read_set_file(path: Path) -> DraftSet:
    """Read one file, without the sets that it extends.

    Raises
    ------
    LimitFileError
        With file, line and key, where the file cannot be read or says something that a
        limit set cannot say.
    """
    whole, data = read_yaml(path)
    fields = whole.fields(_SET_KEYS)
    head = read_head(fields, whole)
    above = Provenance().below(fields)
    return DraftSet(
        whole=whole,
        path=path,
        data=data,
        head=head,
        essential=fields.get("essential"),
        cautions=fields.get("cautions"),
        partial=fields["partial"].text() if "partial" in fields else "",
        note=fields["note"].text() if "note" in fields else "",
        limits=read_limits(fields["limits"], above) if "limits" in fields else {},
        rules=read_rules(fields["rules"], above) if "rules" in fields else {},
    )


def lay_over(child: DraftSet, parent: DraftSet) -> DraftSet:
    """Return a set that extends another: what the child states, else what the parent does."""
    scope = child.head.scope
    parent_scope = parent.head.scope or Scope()
    if scope is None:
        scope = parent_scope
    elif not scope.material:
        scope = replace(scope, material=parent_scope.material)
    elif parent_scope.material not in ("", scope.material):
        problem = f"is for {scope.material}, the set that it extends for {parent_scope.material}"
        child.whole.refuse(problem)
    return replace(
        child,
        data=child.data + parent.data,
        head=replace(child.head, use=child.head.use or parent.head.use, scope=scope),
        essential=child.essential or parent.essential,
        cautions=child.cautions or parent.cautions,
        limits=_limits_over(child.limits, parent.limits),
        rules=_rules_over(child.rules, parent.rules),
    )


def _limits_over(
    child: Mapping[tuple[str, str | None], DraftLimit],
    parent: Mapping[tuple[str, str | None], DraftLimit],
) -> dict[tuple[str, str | None], DraftLimit]:
    """Return the limits of both, the child's own first: they are what its reader looks for."""
    below = dict(parent)
    limits = {}
    for (analyte, basis), limit in child.items():
        if limit.dropped:
            dropped = [place for place in below if place[0] == analyte]
            if not dropped:
                limit.at.refuse(_NOTHING_TO_DROP)
            for place in dropped:
                del below[place]
        else:
            before = below.pop((analyte, basis), None)
            limits[analyte, basis] = limit if before is None else _limit_over(limit, before)
    return {**limits, **below}


def _rules_over(
    child: Mapping[str, DraftRule], parent: Mapping[str, DraftRule]
) -> dict[str, DraftRule]:
    below = dict(parent)
    rules = {}
    for key, rule in child.items():
        if below.pop(key, None) is None and rule.rule is None:
            rule.at.refuse(_NOTHING_TO_DROP)
        if rule.rule is not None:
            rules[key] = rule
    return {**rules, **below}


def _limit_over(limit: DraftLimit, below: DraftLimit) -> DraftLimit:
    """Lay the bounds of a limit over those below it, side by side and kind by kind."""
    bounds = dict(below.bounds)
    for place, draft in limit.bounds.items():
        before = bounds.pop(place, None)
        if draft.bound is None:
            if before is None:
                draft.at.refuse(_NOTHING_TO_DROP)
            continue
        bound = draft.bound
        if not bound.consequence and before is not None and before.bound is not None:
            # A changed number leads to what the number before it led to.
            bound = replace(bound, consequence=before.bound.consequence)
        bounds[place] = DraftBound(draft.at, bound)
    return DraftLimit(
        at=limit.at,
        bounds=bounds,
        conditions=below.conditions if limit.conditions is None else limit.conditions,
        scope=below.scope if limit.scope is None else limit.scope,
    )
