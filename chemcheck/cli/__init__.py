"""The command line: click only here, one file per command, no logic."""

from chemcheck.cli.main import main

__all__ = ["main"]
