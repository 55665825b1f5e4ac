"""Numbers as a person reads them: no more digits than a reading has."""

import math

DIGITS = 4


def number(value: float, digits: int = DIGITS) -> str:
    """Write a number with at most so many significant digits, never in powers of ten.

    Digits before the decimal point are kept: a value of 12345 is not rounded to 12340.

    Parameters
    ----------
    value : float
        What to write.
    digits : int, default 4
        Significant digits.

    Examples
    --------
    >>> [number(v) for v in (85.0, 0.0123456, 12345.6, 340.25, -36.4, 0.0)]
    ['85', '0.01235', '12346', '340.2', '-36.4', '0']
    >>> number(float("inf")), number(float("nan"))
    ('no limit', 'unknown')
    """
    if math.isnan(value):
        return "unknown"
    if math.isinf(value):
        return "no limit"
    if value == 0.0:
        return "0"
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


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
