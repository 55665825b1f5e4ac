"""Import what a command needs next while it reads its files."""

import importlib
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress


@contextmanager
def imported_meanwhile(*modules: str) -> Iterator[None]:
    """Import modules in a thread of their own while something else is done.

    Parsing a file leaves Python's lock alone for most of its time, which importing needs: of a
    batch the two together take little longer than the first. At the end it is waited for, also
    where the work failed: a program must not end while it imports.

    Parameters
    ----------
    *modules : str
        Their full names. One that cannot be imported shows where it is asked for.
    """
    thread = threading.Thread(target=_import, args=modules)
    thread.start()
    try:
        yield
    finally:
        thread.join()


def _import(*modules: str) -> None:
    for name in modules:
        with suppress(ImportError):
            importlib.import_module(name)
