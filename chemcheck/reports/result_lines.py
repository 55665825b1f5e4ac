"""The results of one sample, each held against its bounds, in words."""

import math

import numpy as np

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.because import fresh_words
from chemcheck.judging import BoundInForce, Judged, result_values
from chemcheck.judging.record import (
    INSIDE,
    NOT_JUDGED,
    OUTSIDE,
    STATE_NAMES,
    UNDECIDED,
    WARNING,
    Quantity,
)
from chemcheck.judging.result_values import rule_of
from chemcheck.limit_library import requirement_words
from chemcheck.reports.document import ResultLine, ResultNumbers
from chemcheck.reports.numbers import interval, number
from chemcheck.reports.text_layout import TIED

# The worst first.
ORDER = (OUTSIDE, UNDECIDED, WARNING, NOT_JUDGED, INSIDE)
COVERAGE = 1.96  # of a 95 % interval, normal distribution
DIGITS_OF_A_RANGE = 3
_AT = {"lower": "at least", "upper": "at most"}
_OTHER = {"lower": "upper", "upper": "lower"}


def result_lines(judged: Judged, row: int) -> tuple[ResultLine, ...]:
    """Return a line for every result of a sample, the worst first.

    Parameters
    ----------
    judged : Judged
        The samples, judged.
    row : int
        Position of the sample.

    Returns
    -------
    tuple of ResultLine
        In the order outside, undecided, warning, not judged, inside; within a state as the
        readings stand.
    """
    places = places_by_state(judged, row)
    values = result_values(judged, np.full(places.size, row), places)
    lines = []
    for k, place in enumerate(places.tolist()):
        quantity = judged.quantities[place]
        bound = decisive_bound(judged, row, place)
        ends = float(values.lower[k]), float(values.upper[k])
        u, value = float(values.u[k]), float(values.bound[k])
        opposite = None if bound is None else _opposite(judged, place, bound)
        lines.append(
            ResultLine(
                quantity=quantity_text(quantity),
                reading=reading_text(*ends, u, quantity),
                unit=unit_text(quantity),
                bound=_bounds_text(judged, place, bound, opposite, value, quantity),
                margin=margin_text(*ends, value, None if bound is None else bound.side, quantity),
                state=STATE_NAMES[judged.state[row, place]],
                source="" if bound is None else f"{bound.source} ({bound.evidence})",
                numbers=ResultNumbers(
                    quantity.key, quantity.basis, *ends, u, value, *_sides(bound, opposite, value)
                ),
            )
        )
    return tuple(lines)


def without_bound(lines: tuple[ResultLine, ...]) -> str:
    """List the results that no bound speaks of; empty where there are none.

    Examples
    --------
    >>> without_bound((ResultLine("sodium", "12", "mg/L", "", "", "not judged", ""),)).replace(
    ...     TIED, " "
    ... )
    'Read, but this limit set has no bound for it: sodium 12 mg/L.'
    """
    told = [amount(line) for line in lines if not line.source]
    return f"Read, but this limit set has no bound for it: {', '.join(told)}." if told else ""


def amount(line: ResultLine) -> str:
    """Name a result with its reading and unit, as a sentence does.

    Examples
    --------
    >>> amount(ResultLine("pH", "7.6", "", "5.5 to 9", "1.4 left", "inside", "TM"))
    'pH 7.6'
    """
    return f"{line.quantity} {tied(f'{line.reading} {line.unit}'.strip())}".strip()


def places_by_state(judged: Judged, row: int) -> np.ndarray:
    """Return the quantities of which a sample has a result, the worst state first."""
    states = judged.state[row]
    return np.concatenate([np.flatnonzero(states == state) for state in ORDER])


def decisive_bound(judged: Judged, row: int, place: int) -> BoundInForce | None:
    """Return the bound, rule or condition that decided a result, None where none did."""
    position = int(judged.decisive[row, place])
    return judged.bounds[position] if position >= 0 else None


def quantity_text(quantity: Quantity) -> str:
    """Name a quantity with the basis it was measured on, unless that is the usual one."""
    if quantity.basis is None or quantity.column is None:
        return quantity.title
    bases = analyte_of(quantity.key).bases
    usual = not bases or bases[0].key == quantity.basis
    return quantity.title if usual else f"{quantity.title}, {quantity.basis.replace('_', ' ')}"


def reading_text(lower: float, upper: float, u: float, quantity: Quantity) -> str:
    """Write a reading, with the half width of its 95 % interval where it is exact.

    Parameters
    ----------
    lower, upper : float
        The ends of the reading.
    u : float
        Standard uncertainty of the method [as the reading].
    quantity : Quantity
        What is read; ordered words stand in place of their ranks.

    Examples
    --------
    >>> chloride = Quantity("chloride", "chloride", "mg/L", None, 0)
    >>> reading_text(85.0, 85.0, 2.0, chloride).replace(TIED, " ")
    '85 ± 3.9'
    >>> reading_text(120.0, 250.0, 5.0, chloride).replace(TIED, " ")
    '120 to 250'
    """
    if math.isnan(lower):
        return ""
    words = _words(quantity)
    if words:
        first, last = words[int(lower)], words[min(int(min(upper, len(words))), len(words) - 1)]
        return first if first == last else f"{first} to {last}"
    if lower != upper:
        return tied(interval(lower, upper, DIGITS_OF_A_RANGE))
    text = number(upper)
    return tied(f"{text} ± {number(COVERAGE * u, digits=2)}" if u > 0 else text)


def margin_text(
    lower: float, upper: float, value: float, side: str | None, quantity: Quantity
) -> str:
    """Write how far a reading is from a bound: what is left, or how far it is beyond.

    Parameters
    ----------
    lower, upper : float
        The ends of the reading.
    value : float
        The bound [as the reading].
    side : {"lower", "upper"} or None
        Which side it is on.
    quantity : Quantity
        Ordered words have no margin.

    Examples
    --------
    >>> chloride = Quantity("chloride", "chloride", "mg/L", None, 0)
    >>> margin_text(85.0, 85.0, 40.0, "upper", chloride).replace(TIED, " ")
    '45 beyond'
    >>> margin_text(120.0, 250.0, 170.0, "upper", chloride).replace(TIED, " ")
    '50 left to 80 beyond'
    >>> margin_text(7.6, 7.6, 5.5, "lower", chloride).replace(TIED, " ")
    '2.1 left'
    """
    if side is None or math.isnan(value) or math.isnan(lower) or _words(quantity):
        return ""
    least, most = (
        (value - upper, value - lower) if side == "upper" else (lower - value, upper - value)
    )
    digits = DIGITS_OF_A_RANGE
    if least >= 0:
        return tied(f"{interval(least, most, digits)} left")
    if most < 0:
        return tied(f"{interval(-most, -least, digits)} beyond")
    beyond = "no end" if math.isinf(least) else number(-least, digits)
    return f"{tied(f'{number(most, digits)} left')} to {tied(f'{beyond} beyond')}"


def tied(text: str) -> str:
    """Hold a number to its unit: what this returns is not broken over lines."""
    return text.replace(" ", TIED)


def _opposite(judged: Judged, place: int, decisive: BoundInForce) -> BoundInForce | None:
    """Return the bound of the same set and kind on the other side, None where there is none."""
    if decisive.side is None:
        return None
    wanted = (decisive.limit_set, place, decisive.kind, _OTHER[decisive.side])
    return next(
        (b for b in judged.bounds if (b.limit_set, b.quantity, b.kind, b.side) == wanted), None
    )


def _sides(
    decisive: BoundInForce | None, opposite: BoundInForce | None, value: float
) -> tuple[float, float]:
    """Return the lower and the upper bound as numbers, NaN where there is none."""
    if decisive is None or decisive.side is None:
        return math.nan, math.nan
    other = math.nan if opposite is None or opposite.of_fresh else opposite.value
    return (value, other) if decisive.side == "lower" else (other, value)


def _bounds_text(
    judged: Judged,
    place: int,
    decisive: BoundInForce | None,
    opposite: BoundInForce | None,
    value: float,
    quantity: Quantity,
) -> str:
    """Write both ends of what is allowed; the decisive bound with this sample's own number."""
    if decisive is None or decisive.kind == "condition":
        return ""
    if decisive.side is None:
        return requirement_words(rule_of(judged, place).requirement)
    said = _one_bound(decisive, value, quantity, fresh_words(judged, decisive))
    if opposite is not None and not (opposite.of_fresh or decisive.of_fresh or _words(quantity)):
        said = interval(min(opposite.value, value), max(opposite.value, value))
    return tied(said) if decisive.kind == "action" else f"{tied(said)} (warning)"


def _one_bound(bound: BoundInForce, value: float, quantity: Quantity, fresh: str) -> str:
    at = _AT[str(bound.side)]
    words = _words(quantity)
    if words:
        return f"{at} {words[round(value)]}"
    if not bound.of_fresh:
        return f"{at} {number(value)}"
    share = f"{number(bound.value * 100)} % of {'fresh' if fresh == 'fresh fill' else fresh}"
    return f"{at} {share}" if math.isnan(value) else f"{at} {number(value)} ({share})"


def _words(quantity: Quantity) -> tuple[str, ...]:
    if quantity.column is None:
        return ()
    return tuple(words[0] for words in analyte_of(quantity.key).words)


def unit_text(quantity: Quantity) -> str:
    """Return the unit that a person reads; empty where a number stands alone."""
    return "" if quantity.unit in ("1", "pH", "rank") else quantity.unit
