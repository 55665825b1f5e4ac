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
    limit_set : str
        The id of the set that judges it in service.
    """

    key: str
    title: str
    aliases: tuple[str, ...]
    limit_set: str


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
        names = ("title", "aliases", "limit_set")
        fields = node.fields(names, names)
        aliases = tuple(alias.text() for alias in fields["aliases"].entries())
        found[key] = Technology(key, fields["title"].text(), aliases, fields["limit_set"].text())
    return MappingProxyType(found)
