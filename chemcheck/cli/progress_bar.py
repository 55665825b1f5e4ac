"""A bar on standard error while long work goes on."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import click

from chemcheck.progress import listening

# Work that is done sooner shows no bar [s].
PATIENCE = 1.0


class _Bar:
    """One bar at a time, drawn once the work has lasted a while."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self.clock = clock
        self.bar: Any = None
        self.what, self.since = "", 0.0

    def __call__(self, what: str, done: int, total: int) -> None:
        if what != self.what:
            self.close()
            self.what, self.since = what, self.clock()
        if self.bar is None and done < total and self.clock() - self.since >= PATIENCE:
            self.bar = click.progressbar(length=total, label=what, file=sys.stderr)
            self.bar.__enter__()
        if self.bar is not None:
            self.bar.update(done - self.bar.pos)
        if done >= total:
            self.close()

    def close(self) -> None:
        """Take the bar off, so that what is said next has a line of its own."""
        if self.bar is not None:
            self.bar.__exit__(None, None, None)
            self.bar = None
        self.what = ""


@contextmanager
def shown(quiet: bool) -> Iterator[None]:
    """Show how far the work inside has come, where a person watches.

    Parameters
    ----------
    quiet : bool
        Whether the user wants none.
    """
    if quiet or not sys.stderr.isatty():
        yield
        return
    bar = _Bar()
    try:
        with listening(bar):
            yield
    finally:
        bar.close()
