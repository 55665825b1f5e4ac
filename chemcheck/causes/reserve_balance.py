"""Reserve alkalinity of one sample: what dilution took, what the acids found took, what is open."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from chemcheck.causes.contaminant_balance import BALANCES
from chemcheck.causes.reading_ends import column_read, ends_in, ends_of
from chemcheck.causes.top_up_fluids import TopUpFluids
from chemcheck.chemistry.acid_balance import (
    ACIDITY,
    CATIONS,
    DOSED,
    MINERAL,
    AcidBalance,
    Change,
    acid_balance,
    reserve_of_alkalinity,
)
from chemcheck.chemistry.range_record import Range
from chemcheck.judging.record import Judged
from chemcheck.limit_library.settings import check_settings

RESERVE, GLYCOL, PH, ALKALINITY = "reserve_alkalinity", "glycol", "ph", "total_alkalinity"
_NOTHING = Range(np.asarray(0.0), np.asarray(0.0))


@dataclass(frozen=True, slots=True)
class ReserveBalance:
    """What became of the reserve alkalinity of one sample.

    Parameters
    ----------
    found, fresh : Range
        In the sample and in the fresh fill [mL 0.1 mol/L acid for 10 mL].
    left : Range
        Share of the fresh fill that is left, by glycol [1].
    balance : AcidBalance
        Lost beyond dilution, and what explains it.
    unread : tuple of str
        Acids' anions that were not read in the sample.
    ph_fall : Range or None
        By how much pH is below that of the fresh fill; None where it was not read in both
        in the same way.
    steady : bool
        Whether the reserve is what dilution leaves of it.
    carbon_dioxide : bool
        Whether pH surely fell while the reserve is steady: carbon dioxide lowers pH and uses
        up none of the reserve.
    """

    found: Range
    fresh: Range
    left: Range
    balance: AcidBalance
    unread: tuple[str, ...]
    ph_fall: Range | None
    steady: bool
    carbon_dioxide: bool


def reserve_balance(
    judged: Judged, row: int, fresh: int, fluids: TopUpFluids
) -> ReserveBalance | None:
    """Balance the reserve alkalinity of one sample.

    Parameters
    ----------
    judged : Judged
        All samples.
    row, fresh : int
        Positions of the sample and of its fresh fill.
    fluids : TopUpFluids
        What is known of the water that thinned it.

    Returns
    -------
    ReserveBalance or None
        None where reserve alkalinity on the same basis, or glycol, was not read in both
        within ends.
    """
    reserve, before = _same_column(judged, row, fresh, RESERVE)
    glycol, mixed = ends_of(judged, row, GLYCOL), ends_of(judged, fresh, GLYCOL)
    if reserve is None or before is None or glycol is None or mixed is None:
        return None
    if float(mixed.lower) <= 0.0 or float(before.upper) <= 0.0:
        return None
    if not all(np.isfinite(one.upper) for one in (reserve, before, glycol, mixed)):
        return None
    left = Range(glycol.lower / mixed.upper, glycol.upper / mixed.lower)
    ions = _ions(judged, row, fresh, fluids)
    change = Change(reserve, before, _water_reserve(fluids))
    balance = acid_balance(change, left, ions)
    ph, ph_before = _same_column(judged, row, fresh, PH)
    fall = None
    if ph is not None and ph_before is not None:
        fall = Range(ph_before.lower - ph.upper, ph_before.upper - ph.lower)
    middle = 0.5 * float(balance.lost.lower + balance.lost.upper)
    usual = 0.5 * float(before.lower + before.upper)
    steady = bool(balance.lost.lower <= 0.0) and middle <= _setting("steady_reserve") * usual
    return ReserveBalance(
        found=reserve,
        fresh=before,
        left=left,
        balance=balance,
        unread=tuple(anion for anion in ACIDITY if anion not in ions),
        ph_fall=fall,
        steady=steady,
        carbon_dioxide=steady and fall is not None and float(fall.lower) > 0.0,
    )


def _same_column(
    judged: Judged, row: int, fresh: int, analyte: str
) -> tuple[Range | None, Range | None]:
    """Return two readings on one basis."""
    place = column_read(judged, row, analyte)
    if place is None or column_read(judged, fresh, analyte) != place:
        return None, None
    return ends_in(judged, row, place), ends_in(judged, fresh, place)


def _ions(judged: Judged, row: int, fresh: int, fluids: TopUpFluids) -> Mapping[str, Change]:
    """Return what is known of anions and cations in sample, fresh fill and water."""
    answer = {}
    for name in (*ACIDITY, *MINERAL, *DOSED, *CATIONS):
        found, before = ends_of(judged, row, name), ends_of(judged, fresh, name)
        if found is None or not np.isfinite(found.upper):
            continue
        if before is not None and not np.isfinite(before.upper):
            continue
        if before is None:
            # No acid is in a fresh fill to speak of; of a salt nobody knows.
            if name not in ACIDITY:
                continue
            before = _NOTHING
        known = _NOTHING if name in ACIDITY else fluids.tap("", name)
        if name not in MINERAL and (known is None or not np.isfinite(known.upper)):
            continue
        most = _setting("unknown_anion")
        if known is not None and np.isfinite(known.upper):
            most = float(known.upper)
        # It may have been deionised water as well.
        answer[name] = Change(found, before, Range(np.asarray(0.0), np.asarray(most)))
    return answer


def _water_reserve(fluids: TopUpFluids) -> Range:
    known = fluids.tap("", ALKALINITY)
    most = _setting("unknown_alkalinity")
    if known is not None and np.isfinite(known.upper):
        most = float(known.upper)
    return Range(np.asarray(0.0), np.asarray(reserve_of_alkalinity(most)))


def _setting(name: str) -> float:
    return check_settings(BALANCES)[name].value
