"""What a limit or rule applies to, and when another reading keeps it from deciding."""

from dataclasses import dataclass
from typing import Literal, cast

from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.provenance import PROVENANCE_KEYS, Provenance
from chemcheck.limit_library.records import Condition
from chemcheck.limit_library.scale import UNIT_KEYS, read_analyte, read_scale
from chemcheck.limit_library.technologies import GLYCOLS, technologies

# The word by which a file that extends another leaves something out.
DROP = "drop"

_THEN = ("not judged", "undecided")
_CONDITION_KEYS = ("analyte", "below", "above", "then", *UNIT_KEYS, *PROVENANCE_KEYS)


@dataclass(frozen=True, slots=True)
class Scope:
    """What a set, a limit or a rule applies to; empty where it applies to all.

    Parameters
    ----------
    material : str
        ``water``, ``coolant``, or empty.
    technologies, glycols : frozenset of str
        Keys.
    """

    material: str = ""
    technologies: frozenset[str] = frozenset()
    glycols: frozenset[str] = frozenset()


def read_scope(node: Located, *, material: bool = False) -> Scope:
    """Read an ``applies_to``; only that of a whole set names a material."""
    keys = ("material", "technology", "glycol") if material else ("technology", "glycol")
    fields = node.fields(keys)
    known = {"technology": tuple(technologies()), "glycol": GLYCOLS}
    found = {
        key: frozenset(one.one_of(options, key) for one in fields[key].one_or_more())
        for key, options in known.items()
        if key in fields
    }
    stated = (
        fields["material"].one_of(("water", "coolant"), "material") if "material" in fields else ""
    )
    return Scope(stated, found.get("technology", frozenset()), found.get("glycol", frozenset()))


def read_conditions(node: Located, above: Provenance) -> tuple[Condition, ...]:
    """Read the conditions under ``when``, in their order."""
    if node.is_text(DROP):
        return ()
    return tuple(_read_condition(entry, above) for entry in node.one_or_more())


def _read_condition(node: Located, above: Provenance) -> Condition:
    fields = node.fields(_CONDITION_KEYS, ("analyte", "then"))
    here = above.below(fields)
    analyte = read_analyte(fields["analyte"].text(), fields["analyte"])
    if "below" not in fields and "above" not in fields:
        node.refuse("expected `below:` or `above:`")
    scale = read_scale(analyte, fields, here.density, node)
    below, above_it = (
        scale.value(fields[key]) if key in fields else None for key in ("below", "above")
    )
    source, evidence = here.sourced(node)
    return Condition(
        analyte=analyte.key,
        below=below,
        above=above_it,
        then=cast(Literal["not judged", "undecided"], fields["then"].one_of(_THEN, "state")),
        source=scale.source(source),
        evidence=evidence,
    )
