"""The head of a set's file: what it is and what it applies to, read without its bounds."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, cast

from chemcheck.limit_library.conditions import Scope, read_scope
from chemcheck.limit_library.located_yaml import Located, parse_yaml, read_bytes

Material = Literal["water", "coolant"]

USES = (
    "fill water",
    "purified water",
    "closed loop water",
    "water context",
    "new coolant",
    "coolant in service",
    "degradation",
    "inspection",
)
HEAD_KEYS = ("id", "version", "title", "use", "applies_to", "extends")

_ID = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")
# The head ends where the bounds begin.
_BODY = re.compile(rb"^(?:limits|rules):", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class SetTitle:
    """The head of a limit set.

    Parameters
    ----------
    id, version, title, material, technologies, glycols, use, path : as in LimitSet
        What a list of sets shows.
    """

    id: str
    version: str
    title: str
    material: Material
    technologies: frozenset[str]
    glycols: frozenset[str]
    use: str
    path: Path


@dataclass(frozen=True, slots=True)
class Head:
    """What the head of one file states.

    Parameters
    ----------
    id, version, title : str
        These every file states for itself.
    use : str
        Empty where the file leaves it to the set it extends.
    scope : Scope or None
        Likewise.
    extends : Located or None
        The id or the path of the set it extends.
    """

    id: str
    version: str
    title: str
    use: str
    scope: Scope | None
    extends: Located | None


def read_head(fields: Mapping[str, Located], whole: Located) -> Head:
    """Read the head of a file from the fields of its top level."""
    for key in ("id", "version", "title"):
        if key not in fields:
            whole.refuse(f"the key {key!r} is missing")
    set_id = fields["id"].text()
    if not _ID.fullmatch(set_id):
        fields["id"].refuse("an id is written in lower case with underscores, as my_water")
    return Head(
        id=set_id,
        version=fields["version"].text(),
        title=fields["title"].text(),
        use=fields["use"].one_of(USES, "use") if "use" in fields else "",
        scope=read_scope(fields["applies_to"], material=True) if "applies_to" in fields else None,
        extends=fields.get("extends"),
    )


def quick_title(path: Path) -> SetTitle | None:
    """Read the head of a file without its bounds.

    Returns
    -------
    SetTitle or None
        None where the head leaves something to the set that it extends.
    """
    data = read_bytes(path, str(path))
    body = _BODY.search(data)
    whole = parse_yaml(data if body is None else data[: body.start()], str(path))
    head = read_head(whole.mapping(), whole)
    if not head.use or head.scope is None or not head.scope.material:
        return None
    return SetTitle(
        id=head.id,
        version=head.version,
        title=head.title,
        material=cast(Material, head.scope.material),
        technologies=head.scope.technologies,
        glycols=head.scope.glycols,
        use=head.use,
        path=path,
    )
