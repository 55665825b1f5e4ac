"""The families of inhibitor chemistry, and the set that judges each in service."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from chemcheck.limit_library.folder import limit_folder
from chemcheck.limit_library.located_yaml import read_yaml

GLYCOLS = ("ethylene_glycol", "propylene_glycol")


@dataclass(frozen=True, slots=True)
class Technology:
    """A family of inhibitor chemistry.

    Parameters
    ----------
    key, title : str
        As in the file; the key stands in results.
    aliases : tuple of str
        Other names for it in a technology column.
    limit_set : str or None
        The id of the set that judges it in service; None where only a set that the user
        names can, such as the maker's.
    cautions : tuple of str
        Keys of the cautions to show with every sample of it.
    refractometer : bool
        Whether a glycol percent or freezing point by refractive index means anything in it.
    """

    key: str
    title: str
    aliases: tuple[str, ...]
    limit_set: str | None
    cautions: tuple[str, ...] = ()
    refractometer: bool = True


@cache
def technologies() -> Mapping[str, Technology]:
    """Return the technologies by their key.

    Examples
    --------
    >>> technologies()["organic_acid"].title
    'organic acid'
    """
    whole, _ = read_yaml(limit_folder() / "technologies.yaml")
    found = {}
    for key, node in whole.mapping().items():
        names = ("title", "aliases", "limit_set", "cautions", "refractometer")
        fields = node.fields(names, names[:2])
        aliases, cautions = (
            tuple(one.text() for one in fields[name].entries()) if name in fields else ()
            for name in ("aliases", "cautions")
        )
        refractometer = "refractometer" not in fields or (
            fields["refractometer"].one_of(("yes", "no"), "answer") == "yes"
        )
        found[key] = Technology(
            key,
            fields["title"].text(),
            aliases,
            fields["limit_set"].text() if "limit_set" in fields else None,
            cautions,
            refractometer,
        )
    return MappingProxyType(found)
