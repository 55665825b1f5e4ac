"""Turn coolant and fill-water results into sourced verdicts.

What stands here is imported when it is first used, so that ``import chemcheck`` is quick.
"""

from importlib import import_module
from typing import TYPE_CHECKING

from chemcheck._version import __version__

if TYPE_CHECKING:
    from chemcheck.assessment.check import check
    from chemcheck.intake.read import read_results

__all__ = ["__version__", "check", "read_results"]

_HOMES = {
    "check": "chemcheck.assessment.check",
    "read_results": "chemcheck.intake.read",
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
