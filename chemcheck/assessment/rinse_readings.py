"""What readings of rinses prove, and what they cannot be."""

import numpy as np

from chemcheck.errors import QuantityError
from chemcheck.limit_library.methods import methods, precision_of
from chemcheck.remedies.estimate import Column, Estimate, exact, hull
from chemcheck.remedies.rinse import fills_needed
from chemcheck.remedies.rinse_proof import RinseProof, prove_rinses
from chemcheck.remedies.rinse_text import CONDUCTIVITY, GLYCOL, RinseReadings

# What readings of rinses can be of, and the method whose precision they have.
_METHODS = {GLYCOL: "refractometer", CONDUCTIVITY: "field_meter"}
_UNITS = {GLYCOL: "%", CONDUCTIVITY: "uS/cm"}
# Standard uncertainties either side of a difference: 95 % of a normal distribution.
_COVERAGE = 1.96


def questions_of_rises(readings: RinseReadings) -> tuple[str, ...]:
    """Ask about readings that rise from one rinse to the next by more than they can be off.

    Parameters
    ----------
    readings : RinseReadings
        Of the rinses.

    Returns
    -------
    tuple of str
        A question for each rise.

    Raises
    ------
    QuantityError
        If the last is above the first, so that nothing was rinsed out.

    Examples
    --------
    >>> from chemcheck.remedies.rinse_text import read_rinse_readings
    >>> [asked] = questions_of_rises(read_rinse_readings("50; 60; 5 %", "--readings"))
    >>> asked[:47]
    'Reading 2 (60 %) is above the one before (50 %)'
    """
    values, spread = _values_and_spread(readings)
    unit = _UNITS[readings.analyte]
    if values[-1] - values[0] > _COVERAGE * np.hypot(spread[-1], spread[0]):
        message = (
            f"the readings rise from {values[0]:g} to {values[-1]:g} {unit}: they stand in the "
            "order of the rinses, the first before any"
        )
        raise QuantityError(message)
    allowed = _COVERAGE * np.hypot(spread[1:], spread[:-1])
    return tuple(
        f"Reading {k + 2} ({values[k + 1]:g} {unit}) is above the one before ({values[k]:g} "
        f"{unit}): rinsing cannot do that. Was it warm and mixed, and is the order right?"
        for k in np.flatnonzero(np.diff(values) > allowed).tolist()
    )


def questions_of_falls(
    readings: RinseReadings, system: Estimate, drains: Estimate
) -> tuple[str, ...]:
    """Ask about readings that fall faster than perfect mixing in these volumes allows.

    Parameters
    ----------
    readings : RinseReadings
        Of the rinses.
    system, drains : Estimate
        Volume of the system, and of what drains [L].

    Returns
    -------
    tuple of str
        One question for all falls together.

    Examples
    --------
    >>> from chemcheck.remedies.rinse_text import read_rinse_readings
    >>> told = read_rinse_readings("50; 20; 8; 3 %", "--readings")
    >>> [asked] = questions_of_falls(told, exact(22.0), exact(9.0))
    >>> asked[:58]
    'The readings fall faster than these volumes allow: a rinse'
    >>> questions_of_falls(told, exact(12.0), exact(8.0))
    ()
    """
    values, spread = _values_and_spread(readings)
    over = values - float(readings.background.value)
    least = _least_kept(system, drains)
    short = least * over[:-1] - over[1:]
    if not np.any(short > _COVERAGE * np.hypot(spread[1:], least * spread[:-1])):
        return ()
    return (
        f"The readings fall faster than these volumes allow: a rinse leaves {100.0 * least:.0f} % "
        "at the least. Is the system smaller, does more drain, or was it read before it was mixed?",
    )


def _least_kept(system: Estimate, drains: Estimate) -> float:
    return max(0.0, 1.0 - float(drains.upper) / float(system.lower))


def proof_of_rinses(readings: RinseReadings, system: Estimate, drains: Estimate) -> RinseProof:
    """Fit the fall of readings, as uncertain as their method is.

    Parameters
    ----------
    readings : RinseReadings
        Of the rinses.
    system, drains : Estimate
        Volume of the system, and of what drains [L].

    Raises
    ------
    QuantityError
        If the first reading is not above the rinse water's own.
    """
    values, spread = _values_and_spread(readings)
    background = float(readings.background.value)
    if values[0] <= background:
        message = "the first reading is not above that of the rinse water: nothing to rinse out"
        raise QuantityError(message)
    return prove_rinses(values, spread, background, _least_kept(system, drains))


def by_readings(
    proof: RinseProof | None, system: Estimate, drains: Estimate, wanted: float
) -> tuple[Estimate, Estimate]:
    """Return the mixing efficiency and the further rinses that readings speak for.

    Parameters
    ----------
    proof : RinseProof or None
        What the readings show.
    system, drains : Estimate
        Volume of the system, and of what drains [L].
    wanted : float
        Residue that may be left [1].

    Returns
    -------
    efficiency, further : Estimate
        [1] and rinses; NaN without readings, ``further`` also where the tail is flat.
    """
    if proof is None:
        return exact(np.nan), exact(np.nan)
    kept = Estimate(*(end[0] for end in (proof.kept.value, proof.kept.lower, proof.kept.upper)))
    left = Estimate(
        *(end[0] for end in (proof.residue.value, proof.residue.lower, proof.residue.upper))
    )
    efficiency = hull(lambda f, v, d: np.minimum((1.0 - f) * v / d, 1.0), kept, system, drains)

    def more(
        share: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
        keeps: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    ) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        need = wanted / np.maximum(share, wanted)
        return np.asarray(fills_needed(need, 1.0, 1.0 - keeps, 1.0))

    if bool(proof.flat[0]):
        return efficiency, exact(np.nan)
    return efficiency, hull(more, left, kept)


def _values_and_spread(readings: RinseReadings) -> tuple[Column, Column]:
    """Return the readings, and the standard uncertainty of what each is above the rinse water."""
    precision = precision_of(methods()[_METHODS[readings.analyte]], readings.analyte)
    values = np.array([float(one.value) for one in readings.values])
    half = np.array([float(one.upper - one.lower) / 2.0 for one in readings.values])
    # An interval of equal chances adds its own standard deviation (JCGM 100, 4.3.7).
    spread = np.sqrt(precision.absolute**2 + (precision.relative * values) ** 2 + half**2 / 3.0)
    water = readings.background
    if float(water.upper) > 0.0:  # it was read as well, and is taken off each
        own = np.hypot(precision.absolute, precision.relative * water.value)
        spread = np.sqrt(spread**2 + own**2 + (water.upper - water.lower) ** 2 / 12.0)
    return values, np.maximum(spread, 1e-9)
