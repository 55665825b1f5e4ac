"""Numbers read off a kit: counted drops, and volumes of titrant."""

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import Analyte
from chemcheck.errors import UnitError
from chemcheck.intake.choices import Choices, Kit
from chemcheck.limit_library import methods
from chemcheck.limit_library.records import DropWorth, Method
from chemcheck.units import parse_unit

DROPS = "drop count"
COUNTED_BY = "drop_count_kit"  # where nobody says by what
_NO_KIT = Kit()
_SETTLE = "in a columns file (--columns)"
# Scales on which a diluted sample does not read half.
_NOT_IN_PROPORTION = ("pH", "temperature", "rank", "number", "volume", "time")


def kit_of(analyte: str, own: Kit | None, choices: Choices) -> Kit:
    """Return what the user says of a kit: of the column, else of the analyte."""
    return own or choices.kits.get(analyte, _NO_KIT)


def dilutes(known: Analyte) -> bool:
    """Say whether a reading doubles when a halved sample is made up for.

    Examples
    --------
    >>> from chemcheck.analytes import analyte
    >>> dilutes(analyte("reserve_alkalinity")), dilutes(analyte("ph"))
    (True, False)
    """
    return known.dimension not in _NOT_IN_PROPORTION


def counts_drops(unit: str | None) -> bool:
    """Say whether numbers in a unit are counted drops.

    Examples
    --------
    >>> counts_drops("Tropfen"), counts_drops(None)
    (True, False)
    """
    try:
        return unit is not None and parse_unit(unit).dimension == DROPS
    except UnitError:
        return False


def drop_worth(known: Analyte, kit: Kit, method: Method | None) -> DropWorth:
    """Return what one drop is worth: by the user, else by the library.

    Parameters
    ----------
    known : Analyte
        What was titrated.
    kit : Kit
        What the user says.
    method : Method or None
        What the rows were measured by.

    Raises
    ------
    UnitError
        Where nobody says.

    Examples
    --------
    >>> from chemcheck.analytes import analyte
    >>> drop_worth(analyte("chloride"), Kit(), None).greatest
    20.0
    """
    if kit.drop is not None:
        return DropWorth(kit.drop, kit.drop, "", "common practice")
    for one in (method, *methods().values()):
        if one is not None and known.key in one.drop_worths:
            return one.drop_worths[known.key]
    problem = f"counted drops: say what one is worth, as per_drop {_SETTLE}"
    raise UnitError(problem)


def about_drops(known: Analyte, worth: DropWorth) -> str:
    """Say what a drop was taken for where the user does not say it; else nothing."""
    if not worth.source:
        return ""
    span = f"{worth.least:.4g}"
    if worth.least != worth.greatest:
        span += f" to {worth.greatest:.4g}"
    return f"a drop is taken as {span} {known.unit} ({worth.source}); per_drop {_SETTLE} says more"


def of_drops(
    lower: npt.NDArray[np.float64], upper: npt.NDArray[np.float64], worth: DropWorth
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Return what counts of drops span.

    The colour changed with the last drop: the result lies above what the drops before it
    are worth, and reaches what all of them are.

    Parameters
    ----------
    lower, upper : ndarray of float64
        The ends of each count as written; more than a count has no end.
    worth : DropWorth
        What one is worth [canonical unit].

    Returns
    -------
    lower, upper : ndarray of float64
        [canonical unit].

    Notes
    -----
    Common practice, no source.

    Examples
    --------
    >>> counts = np.array([7.0, 0.0])
    >>> low, high = of_drops(counts, counts, DropWorth(10.0, 10.0, "", "common practice"))
    >>> low.tolist(), high.tolist()
    ([60.0, 0.0], [70.0, 0.0])
    """
    before = np.where(np.isinf(upper), lower, np.maximum(lower - 1.0, 0.0))
    return before * worth.least, upper * worth.greatest


def unit_of_number(text: str | None, kit: Kit) -> str | None:
    """Return the unit of a number: the kit's own where it is a volume of titrant.

    Parameters
    ----------
    text : str or None
        As stated in the cell or for the column.
    kit : Kit
        What the user says.

    Examples
    --------
    >>> unit_of_number("mL", Kit(titration="mL 0.02 N/50 mL"))
    'mL 0.02 N/50 mL'
    """
    if kit.titration is None:
        return text
    if text is None:
        return kit.titration
    try:
        is_volume = parse_unit(text).dimension == "volume"
    except UnitError:
        return text
    return kit.titration if is_volume else text
