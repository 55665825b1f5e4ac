"""The bounds of one analyte, as a file states them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import get_args

from chemcheck.analytes import stored_basis
from chemcheck.analytes.record import Analyte
from chemcheck.limit_library.conditions import DROP, Scope, read_conditions, read_scope
from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.provenance import PROVENANCE_KEYS, Provenance
from chemcheck.limit_library.records import Bound, Condition, Kind, Side
from chemcheck.limit_library.scale import (
    UNIT_KEYS,
    Scale,
    read_analyte,
    read_fraction,
    read_scale,
)

KINDS: tuple[Kind, ...] = get_args(Kind)
SIDES: tuple[Side, ...] = get_args(Side)

_LIMIT_KEYS = (*KINDS, *UNIT_KEYS, *PROVENANCE_KEYS, "basis", "when", "applies_to")
_BOUND_KEYS = ("value", "of_fresh", "quoted", "spread", *UNIT_KEYS, *PROVENANCE_KEYS)


@dataclass(frozen=True, slots=True)
class DraftBound:
    """A bound as one file states it, before the set it extends is known.

    Parameters
    ----------
    at : Located
        Where it stands.
    bound : Bound or None
        Without a consequence where the file states none; None where it drops the bound.
    """

    at: Located
    bound: Bound | None


@dataclass(frozen=True, slots=True)
class DraftLimit:
    """The bounds of an analyte and basis as one file states them.

    Parameters
    ----------
    at : Located
        Where they stand.
    bounds : mapping of (str, str) to DraftBound
        By side and kind.
    conditions : tuple of Condition or None
        None where the file says nothing of them.
    scope : Scope or None
        Likewise.
    dropped : bool
        Whether the file drops the analyte, whatever its basis.
    """

    at: Located
    bounds: Mapping[tuple[Side, Kind], DraftBound]
    conditions: tuple[Condition, ...] | None = None
    scope: Scope | None = None
    dropped: bool = False


def read_limits(node: Located, above: Provenance) -> dict[tuple[str, str | None], DraftLimit]:
    """Read the limits of a file.

    Parameters
    ----------
    node : Located
        What stands below ``limits``.
    above : Provenance
        What the file says of all its numbers.

    Returns
    -------
    dict of (str, str or None) to DraftLimit
        By analyte and basis.
    """
    drafts: dict[tuple[str, str | None], DraftLimit] = {}
    for key, entry in node.mapping().items():
        analyte = read_analyte(key, entry)
        for one in entry.one_or_more():
            for basis, draft in _read_limit(analyte, one, above).items():
                if (key, basis) in drafts:
                    one.refuse(f"{key} has bounds for the basis {basis} twice")
                drafts[key, basis] = draft
    return drafts


def _read_limit(analyte: Analyte, node: Located, above: Provenance) -> dict[str | None, DraftLimit]:
    """Read one entry, which may hold for several bases of the analyte."""
    if node.is_text(DROP):
        return {None: DraftLimit(node, {}, dropped=True)}
    fields = node.fields(_LIMIT_KEYS)
    here = above.below(fields)
    conditions = read_conditions(fields["when"], here) if "when" in fields else None
    scope = read_scope(fields["applies_to"]) if "applies_to" in fields else None
    drafts: dict[str | None, DraftLimit] = {}
    for basis in _read_bases(analyte, fields.get("basis")):
        bounds = _read_bounds(_Place(analyte, basis, fields, here))
        if not bounds and conditions is None and scope is None:
            node.refuse("has no bound; add `action:` or `warning:` with `lower:` or `upper:`")
        stored = stored_basis(analyte.key, basis)
        if stored in drafts:
            node.refuse(f"{analyte.key} has bounds for the basis {stored} twice")
        drafts[stored] = DraftLimit(node, bounds, conditions, scope)
    return drafts


def _read_bases(analyte: Analyte, node: Located | None) -> list[str | None]:
    """Return the bases an entry holds for; without a word the usual, first one."""
    if node is None:
        return [None]
    known = [basis.key for basis in analyte.bases]
    if not known:
        node.refuse(f"{analyte.title} has only one basis; leave this key out")
    return [entry.one_of(known, f"basis of {analyte.title}") for entry in node.one_or_more()]


@dataclass(frozen=True, slots=True)
class _Place:
    """What the bounds of one entry have in common."""

    analyte: Analyte
    basis: str | None
    fields: Mapping[str, Located]
    above: Provenance

    def scale(self, fields: Mapping[str, Located], here: Provenance, at: Located) -> Scale:
        units = {key: value for key, value in {**self.fields, **fields}.items() if key in UNIT_KEYS}
        return read_scale(self.analyte, units, here.density, at, self.basis)


def _read_bounds(place: _Place) -> dict[tuple[Side, Kind], DraftBound]:
    return {
        (side, kind): _read_bound(place, side, kind, sides[side])
        for kind in KINDS
        if kind in place.fields
        for sides in (place.fields[kind].fields(SIDES),)
        for side in SIDES
        if side in sides
    }


def _read_bound(place: _Place, side: Side, kind: Kind, node: Located) -> DraftBound:
    """Read one bound: a bare number, or a number with what belongs to it alone."""
    if node.is_text(DROP):
        return DraftBound(node, None)
    fields = node.fields(_BOUND_KEYS) if isinstance(node.content, Mapping) else {"value": node}
    here = place.above.below(fields)
    if "of_fresh" in fields:
        value = read_fraction(place.analyte, fields["of_fresh"])
        if "value" in fields:
            node.refuse("holds both a number and a fraction of the fresh fill")
        scale = None
    elif "value" in fields:
        scale = place.scale(fields, here, node)
        value = scale.value(fields["value"])
    else:
        node.refuse("expected `value:` or `of_fresh:`")
    source, evidence = here.sourced(node)
    bound = Bound(
        side=side,
        kind=kind,
        value=value,
        of_fresh=scale is None,
        quoted=_read_ends(place.analyte, fields.get("quoted"), scale),
        consequence=here.consequence,
        source=source if scale is None else scale.source(source),
        evidence=evidence,
        spread=_read_ends(place.analyte, fields.get("spread"), scale),
    )
    _check_ends(node, bound)
    return DraftBound(node, bound)


def _read_ends(
    analyte: Analyte, node: Located | None, scale: Scale | None
) -> tuple[float, float] | None:
    """Read a range in the unit of the bound it belongs to."""
    if node is None:
        return None
    ends = node.entries()
    if len(ends) != 2:
        node.refuse(f"expected two numbers, found {len(ends)}")
    values = [read_fraction(analyte, end) if scale is None else scale.value(end) for end in ends]
    if values[0] >= values[1]:
        node.refuse("expected the smaller number first")
    return values[0], values[1]


def _check_ends(node: Located, bound: Bound) -> None:
    """Refuse a bound that is not the stricter end of the range its source quotes."""
    if bound.quoted is not None:
        stricter = bound.quoted[0] if bound.side == "upper" else bound.quoted[1]
        if bound.value != stricter:
            node.refuse("is not the stricter end of the range that its source quotes")
    if bound.spread is not None and not bound.spread[0] <= bound.value <= bound.spread[1]:
        node.refuse("lies outside the spread of the sources")
