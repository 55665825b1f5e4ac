"""Waters whose readings contradict each other so far that no verdict rests on them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.chemistry.alkalinity_limits import least_alkalinity, most_alkalinity
from chemcheck.judging.charge_balance_check import unbalanced
from chemcheck.judging.doubts import Doubt
from chemcheck.judging.water_analysis import slipped
from chemcheck.judging.water_cross_checks import Interval, reading_of, solids_from_conductivity
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.questions import ask, interval_text, join_questions
from chemcheck.readings.record import Readings

Bools = npt.NDArray[np.bool_]
Codes = npt.NDArray[np.int16]

SOLIDS, CONDUCTIVITY = "total_dissolved_solids", "conductivity"
PH, ALKALINITY = "ph", "total_alkalinity"
# Between these no alkalinity of a water is impossible: above, hydroxide counts, below, carbon
# dioxide.
_PLAIN_PH = (6.5, 8.5)
_TITRATED = 1.0  # [mg/L as CaCO3]: a titration tells no less from none (common practice)


@dataclass(frozen=True, slots=True)
class WaterDoubts:
    """What contradicts itself, and what is asked about it.

    Parameters
    ----------
    kinds : tuple of Doubt
        The reasons.
    of_sample : ndarray of int16, shape (n_samples,)
        Position in ``kinds`` of what keeps a whole sample from being relied on; -1 where
        nothing does.
    of_cell : ndarray of int16, shape (n_samples, n_columns), or None
        The same for single results; None where none is in doubt.
    questions : DataFrame
        ``QUESTION_COLUMNS``: what no other check asks.
    """

    kinds: tuple[Doubt, ...]
    of_sample: Codes
    of_cell: Codes | None
    questions: pd.DataFrame


def water_doubts(readings: Readings) -> WaterDoubts | None:
    """Find waters whose charges do not balance, and results that rule each other out.

    Parameters
    ----------
    readings : Readings
        All samples.

    Returns
    -------
    WaterDoubts or None
        None where nothing contradicts itself.

    Notes
    -----
    A complete analysis that does not balance is wrong in one of its ions, and nobody can say in
    which: the whole sample is in doubt. Dissolved solids that are off by ten from the
    conductivity, and an alkalinity that is impossible at the pH, cast doubt on these results.
    """
    water = (readings.samples["material"] == "water").to_numpy(dtype=np.bool_)
    if not water.any():
        return None
    kinds: list[Doubt] = []
    settings = check_settings("cross_checks")
    of_sample = np.full(water.size, -1, dtype=np.int16)
    charges = unbalanced(readings)
    if charges.any():
        balance = settings["charge_balance"]
        of_sample[charges] = len(kinds)
        kinds.append(
            Doubt(
                f"cations and anions differ by more than {balance.value:g} % of all charges",
                balance.source,
                balance.evidence,
            )
        )
    pairs = (
        ((SOLIDS, CONDUCTIVITY), _slipped(readings, water), _solids_doubt()),
        ((PH, ALKALINITY), impossible_alkalinity(readings, water), _alkalinity_doubt()),
    )
    of_cell = None
    for analytes, where, doubt in pairs:
        if where.any():
            if of_cell is None:
                of_cell = np.full(readings.lower.shape, -1, dtype=np.int16, order="F")
            for place, column in enumerate(readings.columns):
                if column.analyte in analytes:
                    of_cell[where & ~np.isnan(readings.lower[:, place]), place] = len(kinds)
            kinds.append(doubt)
    if not kinds:
        return None
    return WaterDoubts(
        tuple(kinds),
        of_sample,
        of_cell,
        join_questions([_alkalinity_questions(readings, np.flatnonzero(pairs[1][1]))]),
    )


def impossible_alkalinity(readings: Readings, water: Bools) -> Bools:
    """Return which waters cannot have the alkalinity that was read at the pH that was read.

    Parameters
    ----------
    readings : Readings
        All samples.
    water : ndarray of bool, shape (n_samples,)
        Which of them are water.

    Returns
    -------
    ndarray of bool, shape (n_samples,)
        Where hydroxide alone exceeds the alkalinity, or carbon dioxide at 1 atm could not hold
        it, whatever the readings and the temperature may be.
    """
    answer = np.zeros(water.size, dtype=np.bool_)
    if readings.position(PH) is None or readings.position(ALKALINITY) is None:
        return answer
    ph, alkalinity = reading_of(readings, PH), reading_of(readings, ALKALINITY)
    rows = np.flatnonzero(
        water
        & ~np.isnan(alkalinity.lower)
        & ((ph.lower > _PLAIN_PH[1]) | (ph.upper < _PLAIN_PH[0]))
    )
    least, most = _limits(readings, ph, rows)
    answer[rows] = np.where(
        ph.lower[rows] > _PLAIN_PH[1],
        alkalinity.upper[rows] + _TITRATED < least,
        alkalinity.lower[rows] - _TITRATED > most,
    )
    return answer


def _limits(
    readings: Readings, ph: Interval, rows: npt.NDArray[np.intp]
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Return the least and the most alkalinity that the pH of some waters allows."""
    allowance = check_settings("cross_checks")["alkalinity_ph_allowance"].value
    coldest = check_settings("water_analysis")["tap_temperature_lower"].value
    read = reading_of(readings, "water_temperature").lower[rows]
    temperature = np.clip(np.where(np.isnan(read), coldest, read), 0.0, 100.0)
    return (
        least_alkalinity(ph.lower[rows] - allowance, temperature),
        most_alkalinity(ph.upper[rows] + allowance, temperature),
    )


def _slipped(readings: Readings, water: Bools) -> Bools:
    if readings.position(SOLIDS) is None or readings.position(CONDUCTIVITY) is None:
        return np.zeros(water.size, dtype=np.bool_)
    return water & slipped(reading_of(readings, SOLIDS), solids_from_conductivity(readings))


def _solids_doubt() -> Doubt:
    setting = check_settings("cross_checks")["solids_slip"]
    return Doubt(
        "dissolved solids and conductivity rule each other out, as if one were off by ten",
        setting.source,
        setting.evidence,
    )


def _alkalinity_doubt() -> Doubt:
    return Doubt(
        "alkalinity and pH rule each other out",
        "hydroxide alone exceeds the alkalinity, or carbon dioxide at 1 atm could not hold it",
        "common practice",
    )


def _alkalinity_questions(readings: Readings, rows: npt.NDArray[np.intp]) -> pd.DataFrame:
    """Ask about alkalinities that cannot be."""
    ph, alkalinity = reading_of(readings, PH), reading_of(readings, ALKALINITY)
    least, most = _limits(readings, ph, rows)
    said: Sequence[str] = [
        f"mg/L as CaCO3, but at pH {interval_text(ph.lower[row], ph.upper[row])} a water has "
        + (f"at least {low:.3g}" if alkalinity.upper[row] < low else f"at most {high:.3g}")
        + ": is the pH or the alkalinity wrong, or its unit?"
        for row, low, high in zip(rows.tolist(), least, most, strict=True)
    ]
    texts = [interval_text(alkalinity.lower[row], alkalinity.upper[row]) for row in rows.tolist()]
    return ask(readings.samples, rows, ALKALINITY, texts, said)
