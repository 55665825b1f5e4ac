"""Numbers as a person reads them: no more digits than a reading has."""

import math

from chemcheck.units.number_text import DIGITS, number


def interval(lower: float, upper: float, digits: int = DIGITS) -> str:
    """Write a reading: a number where it is exact, else what it lies between.

    Examples
    --------
    >>> interval(85.0, 85.0), interval(0.0, 0.5), interval(300.0, float("inf"))
    ('85', '0 to 0.5', 'above 300')
    >>> interval(85.0, 185.0), interval(float("nan"), float("nan"))
    ('85 to 185', 'not read')
    """
    if math.isnan(lower) or math.isnan(upper):
        return "not read"
    first, last = number(lower, digits), number(upper, digits)
    if lower == upper or first == last:
        return last
    if math.isinf(upper):
        return f"above {first}"
    if math.isinf(lower):
        return f"below {last}"
    return f"{first} to {last}"


def percent_down(share: float) -> str:
    """Write a greatest share in whole percent, rounded down so that it stays admissible.

    Examples
    --------
    >>> percent_down(39 / 84), percent_down(1.0), percent_down(0.29)
    ('46', '100', '29')
    """
    return str(math.floor(share * 100 + 1e-9))


def percent_up(share: float) -> str:
    """Write a smallest share in whole percent, rounded up so that it stays admissible.

    Examples
    --------
    >>> percent_up(0.121), percent_up(0.0)
    ('13', '0')
    """
    return str(math.ceil(share * 100 - 1e-9))


def counted(n: int, noun: str, plural: str | None = None) -> str:
    """Write a count with its noun.

    Examples
    --------
    >>> counted(1, "sample"), counted(1200, "sample"), counted(0, "analysis", "analyses")
    ('1 sample', '1,200 samples', '0 analyses')
    """
    return f"{n:,} {noun if n == 1 else plural or noun + 's'}"


__all__ = ["DIGITS", "counted", "interval", "number", "percent_down", "percent_up"]
