"""Turn coolant and fill-water results into sourced verdicts."""

from chemcheck._version import __version__

__all__ = ["__version__"]
