"""Lines of a long list: the first ones, and how many more a document holds."""

from collections.abc import Sequence

# So many are listed as text; the rest is counted and stands in the document.
LISTED = 20


def listed_lines(lines: Sequence[str]) -> list[str]:
    """Return the first lines, and where there are more, how many.

    Parameters
    ----------
    lines : sequence of str
        All of them, what matters most first.

    Returns
    -------
    list of str
        At most `LISTED` of them, and one that counts the rest.

    Examples
    --------
    >>> listed_lines(["pH"] * 22)[-1]
    'And 2 more: --format json lists all.'
    """
    more = len(lines) - LISTED
    counted = [f"And {more:,} more: --format json lists all."] if more > 0 else []
    return [*lines[:LISTED], *counted]
