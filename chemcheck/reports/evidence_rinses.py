"""The rinse log and the refill of an evidence page, with what was reckoned from them."""

from collections.abc import Iterator

import numpy as np

from chemcheck.assessment.job_figures import JobFigures
from chemcheck.assessment.job_record import JobRecord, Reading
from chemcheck.remedies.estimate import Estimate
from chemcheck.reports.evidence_document import RinseLine
from chemcheck.reports.numbers import interval, number
from chemcheck.reports.unit_document import Item

# Lines of an empty log, to be filled in by hand.
EMPTY_LINES = 4


def rinse_lines(job: JobRecord, figures: JobFigures) -> tuple[RinseLine, ...]:
    """Return the log of rinses, or empty lines where there is none."""
    if not job.rinses:
        return tuple(RinseLine(k + 1, "", "", "", "", "", {}) for k in range(EMPTY_LINES))
    return tuple(
        RinseLine(
            number=k + 1,
            filled=litres(one.filled),
            drained=litres(one.drained),
            reading=reading_words(one.reading),
            by_volumes=percent(figures.residue[k]),
            by_reading=percent(figures.read[k]),
            attributes={
                f"data-{name}": repr(float(left.value))
                for name, left in (("left", figures.residue[k]), ("read", figures.read[k]))
                if np.isfinite(left.value)
            },
        )
        for k, one in enumerate(job.rinses)
    )


def rinse_words(figures: JobFigures) -> Iterator[str]:
    """Say what the log proves, and what was taken for granted."""
    if figures.residue and np.isfinite(figures.residue[-1].value):
        yield f"By the litres {percent(figures.residue[-1])} of the old fill is left."
    proof = figures.proof
    if proof is not None:
        low, high = 100 * float(proof.residue.lower[0]), 100 * float(proof.residue.upper[0])
        value = 100 * float(proof.residue.value[0])
        yield (
            f"By the readings {number(value, 2)} % is left (95 %: {number(low, 2)} to "
            f"{number(high, 2)} %)."
        )
        if bool(proof.flat[0]):
            yield "The tail of the readings is flat: something still dissolves, or a dead leg."
        elif bool(proof.testable[0]) and not figures.uneven:
            yield "The readings fall as dilution does; no flat tail is seen."
    yield from figures.remarks


def volume_items(job: JobRecord) -> tuple[Item, ...]:
    """Return what the rinses rest on."""
    return (
        Item("The whole system holds", litres(job.system)),
        Item("Drains each time", litres(job.drains)),
        Item("Mixing of each rinse", "" if job.mixing is None else f"{_said(job.mixing)} %"),
        Item("Read before the first rinse", reading_words(job.rinse_start)),
        Item("The rinse water itself reads", reading_words(job.rinse_water)),
    )


def refill_items(job: JobRecord, figures: JobFigures) -> tuple[Item, ...]:
    """Return what was filled, what it comes to, and what was measured."""
    filled = job.refill
    comes_to = figures.percent
    return (
        Item("Concentrate", litres(filled.concentrate)),
        Item("Water", litres(filled.water)),
        Item("Strength of the concentrate", _percent_or_blank(filled.strength)),
        Item(
            "Comes to, what stayed inside counted",
            f"{_said(comes_to)} %" if np.isfinite(comes_to.value) else "",
        ),
        Item("Measured after mixing", _percent_or_blank(filled.measured)),
        Item("Measured with", filled.method),
    )


def litres(volume: Estimate | None) -> str:
    """Write a volume; empty where it was not recorded."""
    return "" if volume is None else f"{_said(volume)} L"


def percent(share: Estimate) -> str:
    """Write a share in percent, a number or a range; empty where it is not known.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import between, exact
    >>> percent(exact(1 / 9)), percent(between(0.1, 0.2)), percent(exact(float("nan")))
    ('11 %', '10 to 20 %', '')
    """
    if not np.isfinite(share.value):
        return ""
    return f"{interval(100 * float(share.lower), 100 * float(share.upper), 2)} %"


def reading_words(reading: Reading | None) -> str:
    """Write a reading of a rinse; empty where there is none."""
    if reading is None:
        return ""
    analyte, value = reading
    return f"{_said(value)} {'uS/cm' if analyte == 'conductivity' else '% glycol'}"


def _percent_or_blank(value: Estimate | None) -> str:
    return "" if value is None else f"{_said(value)} %"


def _said(value: Estimate) -> str:
    return interval(float(value.lower), float(value.upper), 3)
