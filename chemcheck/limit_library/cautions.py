"""What can hurt people, in words to show beside a result or a remedy."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from chemcheck.limit_library.folder import limit_folder
from chemcheck.limit_library.located_yaml import read_yaml
from chemcheck.limit_library.provenance import Provenance
from chemcheck.limit_library.records import Evidence


@dataclass(frozen=True, slots=True)
class Caution:
    """A danger, when to speak of it, and what to say.

    Parameters
    ----------
    key : str
        What limit sets and remedies call it by.
    when : str
        When it is shown.
    text : str
        What the user reads.
    source : str
        Who says so.
    evidence : {"published", "library", "common practice", "memory"}
        How well it is known.
    """

    key: str
    when: str
    text: str
    source: str
    evidence: Evidence


@cache
def all_cautions() -> Mapping[str, Caution]:
    """Return the cautions by their key, in the order in which they are shown.

    Examples
    --------
    >>> all_cautions()["hot_system"].when
    'before a cap, plug or hose is opened'
    """
    whole, _ = read_yaml(limit_folder() / "cautions.yaml")
    found = {}
    for key, node in whole.mapping().items():
        fields = node.fields(("when", "text", "source", "evidence"), ("when", "text"))
        source, evidence = Provenance().below(fields).sourced(node)
        when, text = fields["when"].text(), fields["text"].text()
        found[key] = Caution(key, when, text, source, evidence)
    return MappingProxyType(found)


def cautions(keys: Iterable[str]) -> tuple[str, ...]:
    """Return the texts of cautions, each once, in the order in which they are shown.

    Parameters
    ----------
    keys : iterable of str
        Keys of cautions, such as those of the limit sets in use.

    Raises
    ------
    KeyError
        If a key names no caution: limit files are checked for that when they are read.

    Examples
    --------
    >>> cautions(["glycol_is_poison", "hot_system", "glycol_is_poison"])[0][:28]
    'Hot coolant is above the tem'
    """
    wanted = set(keys)
    known = all_cautions()
    for key in wanted - set(known):
        raise KeyError(key)
    return tuple(caution.text for key, caution in known.items() if key in wanted)
