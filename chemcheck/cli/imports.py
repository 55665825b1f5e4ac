"""Import what a command needs next while it reads its files."""

import importlib
import threading


def import_meanwhile(*modules: str) -> None:
    """Import modules in a thread of their own.

    Parsing a file leaves Python's lock alone for most of its time, which importing needs: of a
    batch the two together take little longer than the first. Whoever imports one of the
    modules meanwhile waits for it, as always; an error shows there.

    Parameters
    ----------
    *modules : str
        Their full names.
    """
    threading.Thread(target=_import, args=modules).start()


def _import(*modules: str) -> None:
    for name in modules:
        importlib.import_module(name)
