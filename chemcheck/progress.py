"""How far long work has come, for whoever listens.

The library reports and never prints: a command listens where a person watches.
"""

from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

Item = TypeVar("Item")
# Is told what is being done, how many parts are done, and how many there are.
Listener = Callable[[str, int, int], None]

_listener: ContextVar[Listener | None] = ContextVar("listener", default=None)


@contextmanager
def listening(listener: Listener) -> Iterator[None]:
    """Have a listener told of all steps taken inside.

    Parameters
    ----------
    listener : callable
        Called with what is being done, parts done, and parts in all.

    Examples
    --------
    >>> with listening(lambda what, done, total: print(what, done, total)):
    ...     print(sum(steps([1, 2], "adding")))
    adding 0 2
    adding 1 2
    adding 2 2
    3
    """
    before = _listener.set(listener)
    try:
        yield
    finally:
        _listener.reset(before)


def steps(items: Collection[Item], what: str) -> Iterator[Item]:
    """Give items one by one, and tell the listener of each that is done.

    Parameters
    ----------
    items : collection
        What to work through.
    what : str
        What is being done, as a person reads it.

    Yields
    ------
    object
        The items, in order.

    Examples
    --------
    >>> list(steps("ab", "spelling"))
    ['a', 'b']
    """
    listener = _listener.get()
    if listener is None:
        yield from items
        return
    listener(what, 0, len(items))
    for done, item in enumerate(items, 1):
        yield item
        listener(what, done, len(items))
