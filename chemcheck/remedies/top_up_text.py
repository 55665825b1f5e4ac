"""Top-ups as a person writes them: all together, or how many of how much."""

import re

from chemcheck.remedies.estimate import Estimate, hull
from chemcheck.remedies.quantity_text import read_amount

_SEVERAL = re.compile(r"\s*(\d+)\s*[x×*]\s*(.+)", re.DOTALL)  # a sign people write


def read_top_ups(text: str, name: str) -> Estimate:
    """Read how much was topped up, all together.

    Parameters
    ----------
    text : str
        ``26 L``, or ``26 x 1 L``.
    name : str
        What it is called in an error, such as the option.

    Returns
    -------
    Estimate
        [L].

    Raises
    ------
    QuantityError
        Where it is no volume.

    Examples
    --------
    >>> float(read_top_ups("26 x 0.5 L", "--top-ups").value)
    13.0
    """
    several = _SEVERAL.fullmatch(text)
    if several is None:
        return read_amount(text, name, "L", "26 x 1 L")
    count = int(several[1])
    return hull(lambda volume: count * volume, read_amount(several[2], name, "L", "26 x 1 L"))
