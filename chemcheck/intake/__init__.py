"""Files of results and of events, read.

What stands here is imported when it is first used: reading needs heavy libraries, a
column's title does not.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from chemcheck.intake.columns_draft import suggest_columns
    from chemcheck.intake.columns_file import read_columns_file
    from chemcheck.intake.events import read_events
    from chemcheck.intake.read import read_results

__all__ = ["read_columns_file", "read_events", "read_results", "suggest_columns"]

_HOMES = {
    "read_columns_file": "chemcheck.intake.columns_file",
    "read_events": "chemcheck.intake.events",
    "read_results": "chemcheck.intake.read",
    "suggest_columns": "chemcheck.intake.columns_draft",
}


def __getattr__(name: str) -> object:
    """Import a public name from the module that holds it."""
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    msg = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(msg)


def __dir__() -> list[str]:
    """Return the public names."""
    return sorted(__all__)
