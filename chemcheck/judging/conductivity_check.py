"""Conductivity of waters against the sum of their ions: asked where they do not agree."""

import numpy as np
import pandas as pd

from chemcheck.chemistry.dissolved_solids import CONDUCTIVITY_PER_CHARGE, conductivity_from_charges
from chemcheck.judging.charge_balance_check import charge_sums
from chemcheck.judging.water_cross_checks import Interval, apart, reading_of
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.questions import ask, interval_text, no_questions
from chemcheck.readings.record import Readings

# Outside, H+ or OH- carries much of the current.
_PLAIN_PH = (6.0, 9.5)


def conductivity_questions(readings: Readings) -> pd.DataFrame:
    """Ask about waters whose conductivity does not fit their ions.

    Parameters
    ----------
    readings : Readings
        Fresh waters with a complete analysis (see `charge_sums`), a conductivity, and a pH from
        6 to 9.5; other samples are left alone.

    Returns
    -------
    DataFrame
        ``QUESTION_COLUMNS``.

    Notes
    -----
    90 to 110 uS/cm for each meq/L of cations or of anions (Standard Methods 1030 E, memory), and
    ``conductivity_of_ions`` more to either side, whatever the readings may be.
    """
    if readings.position("conductivity") is None or readings.position("ph") is None:
        return no_questions()
    sums = charge_sums(readings, slice(None))
    if sums is None:
        return no_questions()
    complete, cations, anions = sums
    settings = check_settings("cross_checks")
    least, most = np.minimum(cations[0], anions[0]), np.maximum(cations[1], anions[1])
    ph = reading_of(readings, "ph")
    plain = complete & (ph.lower >= _PLAIN_PH[0]) & (ph.upper <= _PLAIN_PH[1])
    plain &= most <= settings["most_charge_of_conductivity"].value
    expected = Interval(
        np.where(plain, conductivity_from_charges(least)[0], np.nan),
        np.where(plain, conductivity_from_charges(most)[1], np.nan),
    )
    read = reading_of(readings, "conductivity")
    rows = np.flatnonzero(apart(read, expected, settings["conductivity_of_ions"].value))
    if not rows.size:
        return no_questions()
    factor = CONDUCTIVITY_PER_CHARGE
    said = [
        f"uS/cm, against {interval_text(expected.lower[row], expected.upper[row])} from the ions "
        f"at {factor.lower:g} to {factor.upper:g} for each meq/L: is it or an ion wrong, or its "
        "unit, or is an ion missing?"
        for row in rows.tolist()
    ]
    texts = [interval_text(read.lower[row], read.upper[row]) for row in rows.tolist()]
    return ask(readings.samples, rows, "conductivity", texts, said)
