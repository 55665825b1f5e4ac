"""Numbers that steer a check, each with its source and evidence, from ``limits/checks``."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import cast

from chemcheck.limit_library.folder import limit_folder
from chemcheck.limit_library.located_yaml import Located, read_yaml
from chemcheck.limit_library.records import EVIDENCE, Evidence


@dataclass(frozen=True, slots=True)
class Setting:
    """One number that steers a check.

    Parameters
    ----------
    value : float
        The number [as the file's comment says].
    source : str
        Who says so.
    evidence : {"published", "library", "common practice", "memory"}
        How well it is known.
    """

    value: float
    source: str
    evidence: Evidence


@cache
def check_settings(name: str) -> Mapping[str, Setting]:
    """Return the numbers of one check of the library.

    Parameters
    ----------
    name : str
        The file in ``limits/checks`` without its ending.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.

    Examples
    --------
    >>> check_settings("duplicates")["least_pairs"].value
    20.0
    """
    return read_settings(check_file_node(name).mapping()["values"])


def check_file_node(name: str) -> Located:
    """Return the whole of a file in ``limits/checks``, its values as text with their lines.

    Raises
    ------
    LimitFileError
        If the file is missing or no YAML.
    """
    return read_check_file(limit_folder() / "checks" / f"{name}.yaml")


def read_check_file(path: Path) -> Located:
    """Return the whole of a file of numbers, once it has a version and values."""
    whole, _ = read_yaml(path)
    content = whole.mapping()
    for key in ("version", "values"):
        if key not in content:
            whole.refuse(f"the key {key!r} is missing")
    return whole


def read_settings(node: Located) -> Mapping[str, Setting]:
    """Read numbers by name, each with source and evidence.

    Parameters
    ----------
    node : Located
        A mapping of names to ``value``, ``source`` and ``evidence``.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    return MappingProxyType({key: read_setting(entry) for key, entry in node.mapping().items()})


def read_setting(node: Located) -> Setting:
    """Read one number with source and evidence."""
    names = ("value", "source", "evidence")
    fields = node.fields(names, names)
    return Setting(
        fields["value"].number(), fields["source"].text(), read_evidence(fields["evidence"])
    )


def read_evidence(node: Located) -> Evidence:
    """Read how well something is known."""
    return cast(Evidence, node.one_of(EVIDENCE, "evidence"))
