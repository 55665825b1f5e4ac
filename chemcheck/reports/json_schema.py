"""The JSON Schema of every document that a command writes."""

import json
import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from chemcheck.errors import not_one_of
from chemcheck.units import read_yaml

DIALECT = "https://json-schema.org/draft/2020-12/schema"
# The version that stands at the end of a document's `schema`.
VERSION = 1

_FOLDER = Path(__file__).parent / "schemas"
_EVERY = "every"
_REFERENCE = re.compile(r"#/\$defs/(\w+)")


def documents() -> tuple[str, ...]:
    """Return the names of the documents that have a schema.

    Examples
    --------
    >>> "check" in documents()
    True
    """
    return tuple(name for name in _read("documents") if name != _EVERY)


@cache
def json_schema(name: str) -> Mapping[str, Any]:
    """Return the schema of a document: what it always has, and what each part means.

    Parameters
    ----------
    name : str
        One of `documents`; as the document says of itself: ``chemcheck/<name>/1``.

    Returns
    -------
    mapping
        By JSON Schema, draft 2020-12 [1]_, complete in itself.

    Raises
    ------
    ValueError
        If there is no such document.

    Notes
    -----
    Keys that a schema does not name may come with later versions of the program; what it
    requires stays.

    References
    ----------
    .. [1] JSON Schema: A Media Type for Describing JSON Documents, draft 2020-12,
       json-schema.org.

    Examples
    --------
    >>> json_schema("forecast")["properties"]["schema"]
    {'const': 'chemcheck/forecast/1'}
    """
    if name not in documents():
        raise ValueError(not_one_of(name, documents(), "document"))
    shared = _read("shared")
    said = dict(_read("documents")[name])
    parts = [_read("documents")[_EVERY], said]
    if "extends" in said:
        parts.insert(1, shared[said["extends"]])
    properties = {key: value for part in parts for key, value in part["properties"].items()}
    properties["schema"] = {"const": f"chemcheck/{name}/{VERSION}"}
    schema = {
        "$schema": DIALECT,
        "title": said["title"],
        "type": "object",
        "required": list(dict.fromkeys(key for part in parts for key in part["required"])),
        "properties": properties,
    }
    return schema | {"$defs": {key: shared[key] for key in sorted(set(_used(schema, shared)))}}


def _used(schema: Any, shared: Mapping[str, Any]) -> Iterator[str]:
    """Give the shared parts that a schema rests on, and those that they rest on."""
    waiting, seen = [schema], set[str]()
    while waiting:
        for key in _REFERENCE.findall(json.dumps(waiting.pop())):
            if key not in seen:
                seen.add(key)
                waiting.append(shared[key])
                yield key


@cache
def _read(name: str) -> Mapping[str, Any]:
    return read_yaml(_FOLDER / f"{name}.yaml")
