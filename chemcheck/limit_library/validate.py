"""What must hold of a whole set, once every file that it extends was read."""

from collections.abc import Iterable, Mapping
from hashlib import sha256
from itertools import pairwise
from typing import cast

from chemcheck.analytes import vocabulary
from chemcheck.limit_library.bounds import DraftLimit
from chemcheck.limit_library.cautions import all_cautions
from chemcheck.limit_library.conditions import Scope
from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.records import (
    AnalyteLimit,
    Bound,
    Kind,
    LimitSet,
    Rule,
    Side,
)
from chemcheck.limit_library.set_file import DraftSet
from chemcheck.limit_library.set_head import Material

# From the lowest to the highest, as the bounds of one analyte must lie.
_ORDER: tuple[tuple[Side, Kind], ...] = (
    ("lower", "action"),
    ("lower", "warning"),
    ("upper", "warning"),
    ("upper", "action"),
)


def whole_set(draft: DraftSet) -> LimitSet:
    """Return the limit set that a draft makes.

    Raises
    ------
    LimitFileError
        With file, line and key, where the set cannot be used as it is.
    """
    scope = draft.head.scope or Scope()
    if not scope.material:
        draft.whole.refuse("does not say `applies_to: {material: water}`, or coolant")
    if not draft.head.use:
        draft.whole.refuse("the key 'use' is missing")
    limits = tuple(
        _whole_limit(key, basis, limit, scope, draft.whole.file)
        for (key, basis), limit in draft.limits.items()
    )
    rules = tuple(_whole_rules(draft, scope))
    if not limits and not rules:
        draft.whole.refuse("has neither a limit nor a rule")
    return LimitSet(
        id=draft.head.id,
        version=draft.head.version,
        title=draft.head.title,
        material=cast(Material, scope.material),
        technologies=scope.technologies,
        glycols=scope.glycols,
        use=draft.head.use,
        essential=_essential(draft, limits),
        limits=limits,
        rules=rules,
        cautions=_caution_keys(draft.cautions),
        note=draft.note,
        sha256=sha256(draft.data).hexdigest(),
        path=draft.path,
        partial=draft.partial,
    )


def _whole_limit(
    key: str, basis: str | None, draft: DraftLimit, scope: Scope, file: str
) -> AnalyteLimit:
    bounds: dict[tuple[Side, Kind], tuple[Located, Bound]] = {}
    for place in _ORDER:
        found = draft.bounds.get(place)
        if found is None:
            continue
        if found.bound is None:
            found.at.refuse("drops a bound, but the file extends no set that has it")
        if not found.bound.consequence:
            found.at.refuse("has no consequence; add `consequence:`, one sentence")
        bounds[place] = found.at, found.bound
    if draft.dropped or not bounds:
        draft.at.refuse("leaves no bound to judge by")
    _check_order(list(bounds.values()), file)
    own = draft.scope or Scope()
    _check_scope(draft.at, own.technologies, scope.technologies)
    _check_scope(draft.at, own.glycols, scope.glycols)
    return AnalyteLimit(
        analyte=key,
        basis=basis,
        bounds=tuple(bound for _, bound in bounds.values()),
        conditions=draft.conditions or (),
        technologies=own.technologies,
        glycols=own.glycols,
    )


def _check_order(bounds: list[tuple[Located, Bound]], file: str) -> None:
    """Refuse bounds that contradict each other; fractions and numbers do not compare.

    The error stands at the later of the two, or at the one in the file itself where the
    other is that of a set that it extends.
    """
    for of_fresh in (False, True):
        alike = [(at, bound) for at, bound in bounds if bound.of_fresh is of_fresh]
        for (low_at, low), (high_at, high) in pairwise(alike):
            if low.value <= high.value and (low.side == high.side or low.value < high.value):
                continue
            at = max((high_at, low_at), key=lambda place: (place.file == file, place.line))
            if low.side == high.side:
                at.refuse(
                    f"the warning lies outside the action bound of the same side: {low.value:g} "
                    f"and {high.value:g} leave it no room"
                )
            at.refuse(
                f"the {low.kind} bound below, {low.value:g}, is not less than the "
                f"{high.kind} bound above, {high.value:g}"
            )


def _check_scope(at: Located, own: frozenset[str], of_set: frozenset[str]) -> None:
    if own and of_set and not own <= of_set:
        outside = ", ".join(sorted(own - of_set))
        at.refuse(f"applies to {outside}, which the set does not apply to")


def _whole_rules(draft: DraftSet, scope: Scope) -> Iterable[Rule]:
    for key, found in draft.rules.items():
        if found.rule is None:
            found.at.refuse("drops a rule, but the file extends no set that has it")
        if key in vocabulary():
            found.at.refuse("a rule cannot be called as an analyte is; give it another key")
        _check_scope(found.at, found.rule.technologies, scope.technologies)
        _check_scope(found.at, found.rule.glycols, scope.glycols)
        yield found.rule


def _essential(draft: DraftSet, limits: Iterable[AnalyteLimit]) -> tuple[str, ...]:
    """Return the essentials, once each can be judged, or the set says that it is partial."""
    if draft.essential is None:
        return ()
    judged = {limit.analyte for limit in limits}
    found: list[str] = []
    for entry in draft.essential.entries():
        key = entry.one_of(vocabulary(), "analyte")
        if key in found:
            entry.refuse(f"{key} stands here twice")
        if key not in judged and not draft.partial:
            entry.refuse(
                f"{key} has no limit here, so that no sample could ever be fit; add a limit, "
                "or say with `partial:` what the set cannot decide"
            )
        found.append(key)
    return tuple(found)


def _caution_keys(node: Located | None) -> tuple[str, ...]:
    if node is None:
        return ()
    known: Mapping[str, object] = all_cautions()
    return tuple(entry.one_of(known, "caution") for entry in node.entries())
