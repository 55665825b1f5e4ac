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
