"""What charge balance and dissolved solids leave for ions of a water that were not read."""

from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.dissolved_solids import dissolved_solids_from_ions
from chemcheck.chemistry.ions import CALCIUM_CARBONATE_MOLAR_MASS, IONS
from chemcheck.judging.water_cross_checks import Interval
from chemcheck.limit_library.settings import check_settings

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

CATIONS = ("calcium", "magnesium", "sodium", "potassium")
ANIONS = ("chloride", "sulfate")
OTHER_ANIONS = ("nitrate", "fluoride")
# The lightest partner that salts of a natural water leave on drying [g/eq]: carbonate beside a
# cation, magnesium beside an anion.
_LIGHTEST_ANION = IONS["carbonate"].molar_mass / 2.0
_LIGHTEST_CATION = IONS["magnesium"].molar_mass / 2.0
ALKALINITY_EQUIVALENT = CALCIUM_CARBONATE_MOLAR_MASS / 2.0
# Most alkalinity in dissolved solids [mg/L as CaCO3 per mg/L].
_ALKALINITY_OF_SOLIDS = ALKALINITY_EQUIVALENT / (_LIGHTEST_ANION + _LIGHTEST_CATION)


def share_of_solids(ion: str) -> float:
    """Return the largest share of an ion in dissolved solids, beside the lightest partner."""
    own = IONS[ion].molar_mass / abs(IONS[ion].charge)
    return own / (own + (_LIGHTEST_ANION if IONS[ion].charge > 0 else _LIGHTEST_CATION))


def alkalinity_by_charges(ions: Mapping[str, Interval], others: Sequence[Interval]) -> Interval:
    """Return the alkalinity that cations leave beside the other anions [mg/L as CaCO3]."""
    cations, anions = charges(ions, CATIONS), charges(ions, ANIONS)
    for ion, read in zip(OTHER_ANIONS, others, strict=True):
        anions = added(anions, times(or_none(read), 1.0 / IONS[ion].molar_mass))
    settings = check_settings("cross_checks")
    share, apart = settings["charge_balance"].value / 100.0, settings["least_charge"].value
    least = cations.lower - anions.upper - share * (cations.lower + anions.upper) - apart
    most = cations.upper - anions.lower + share * (cations.upper + anions.lower) + apart
    lower = np.maximum(np.nan_to_num(least, nan=0.0, neginf=0.0), 0.0)
    return Interval(lower * ALKALINITY_EQUIVALENT, np.maximum(most, lower) * ALKALINITY_EQUIVALENT)


def alkalinity_by_solids(ions: Mapping[str, Interval], room: Floats) -> Floats:
    """Return the most alkalinity that dissolved solids leave beside the anions that were read.

    Each anion weighs itself and the lightest cation beside it; what is left is carbonate.
    """
    taken = np.zeros(room.shape)
    for key in ANIONS:
        own = IONS[key].molar_mass / abs(IONS[key].charge)
        taken = taken + ions[key].lower * (own + _LIGHTEST_CATION) / own
    return np.maximum(room - taken, 0.0) * _ALKALINITY_OF_SOLIDS


def charges(ions: Mapping[str, Interval], keys: Sequence[str]) -> Interval:
    """Sum the charges of some ions [meq/L]."""
    parts = [times(ions[key], abs(IONS[key].charge) / IONS[key].molar_mass) for key in keys]
    total = parts[0]
    for part in parts[1:]:
        total = added(total, part)
    return total


def with_others(chloride: Interval, others: Sequence[Interval]) -> Interval:
    """Count ions that pair no more than chloride does with it, by their charge [mg/L of Cl]."""
    for ion, read in zip(OTHER_ANIONS, others, strict=True):
        factor = IONS["chloride"].molar_mass / IONS[ion].molar_mass
        chloride = added(chloride, times(or_none(read), factor))
    return chloride


def filled_solids(
    solids: Interval, ends: Mapping[str, Interval], silica: Interval, room: Floats
) -> Interval:
    """Return dissolved solids: as read, else by the ions within what there is room for."""
    none = or_none(silica)
    lower, upper = (
        dissolved_solids_from_ions(
            {ion: getattr(ends[ion], end) for ion in (*CATIONS, *ANIONS)},
            getattr(ends["alkalinity"], end),
            getattr(none, end),
        )
        for end in ("lower", "upper")
    )
    upper = np.maximum(np.fmin(upper, room), lower)
    missing = np.isnan(solids.lower)
    return Interval(np.where(missing, lower, solids.lower), np.where(missing, upper, solids.upper))


def first_known(one: Interval, other: Interval) -> Interval:
    """Return an interval, and where it is missing the other."""
    missing = np.isnan(one.lower)
    return Interval(
        np.where(missing, other.lower, one.lower), np.where(missing, other.upper, one.upper)
    )


def up_to(upper: Floats) -> Interval:
    """Return intervals from none, NaN where the upper end is."""
    return Interval(np.where(np.isnan(upper), np.nan, 0.0), upper)


def only_where(rows: Bools, ends: Interval) -> Interval:
    """Return intervals in some rows, NaN in the others."""
    return Interval(np.where(rows, ends.lower, np.nan), np.where(rows, ends.upper, np.nan))


def times(ends: Interval, factor: float) -> Interval:
    """Return intervals times a factor above zero."""
    return Interval(ends.lower * factor, ends.upper * factor)


def added(one: Interval, other: Interval) -> Interval:
    """Return the sum of two intervals."""
    return Interval(one.lower + other.lower, one.upper + other.upper)


def or_none(ends: Interval) -> Interval:
    """Count what was not read as none: traces, of which the balance allows for."""
    return Interval(np.nan_to_num(ends.lower), np.nan_to_num(ends.upper, nan=0.0, posinf=np.inf))
