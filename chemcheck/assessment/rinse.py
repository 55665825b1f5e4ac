"""How often to rinse, whether it was enough, and which rinses must be of deionised water."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from chemcheck.assessment.rinse_readings import (
    by_readings,
    proof_of_rinses,
    questions_of_falls,
    questions_of_rises,
)
from chemcheck.errors import QuantityError
from chemcheck.limit_library import choose, load_set
from chemcheck.limit_library.records import LimitSet
from chemcheck.remedies.deionised_water import deionised_water
from chemcheck.remedies.estimate import Column, Estimate, exact, hull, refuse_where
from chemcheck.remedies.finished_fill import HeldBack, finished_fill, held_back
from chemcheck.remedies.rinse import RinsePlan, plan_rinses
from chemcheck.remedies.rinse_proof import RinseProof
from chemcheck.remedies.rinse_text import CONDUCTIVITY, RinseReadings
from chemcheck.remedies.system_in_use import SystemInUse
from chemcheck.remedies.water_blend import LinearBound, linear_bounds

USUAL_RESIDUE = 0.01
USUAL_FILL = 50.0
_CAUTIONS = (
    "hot_system",
    "glycol_is_poison",
    "disposal",
    "flushing_agent",
    "nitrite_and_acid",
    "pressure_test",
    "maker_and_local_rules",
)
_MIXING = (
    "Mixing needs the thermostat open and the heater on at every fill; dead legs keep old fluid."
)


@dataclass(frozen=True, slots=True)
class FillLevel:
    """One bound's quantity in the water of the finished fill, at its unfavourable end.

    Parameters
    ----------
    bound : LinearBound
        The bound.
    without, after : float
        With tap water alone, and after the deionised rinses that are needed [the bound's unit];
        NaN where no number of them will do.
    """

    bound: LinearBound
    without: float
    after: float


@dataclass(frozen=True, slots=True)
class LastRinses:
    """How many of the last rinses must be of deionised water.

    Parameters
    ----------
    limit_set : LimitSet
        What the finished fill's water has to meet.
    count : float
        The number; NaN where none will do.
    controlled_by : LinearBound or None
        The bound that asks for it; None where none does.
    held, finished : float
        That bound's quantity in the finished fill's water with no such rinse, and with so
        many [the bound's unit].
    unread : tuple of str
        Essentials of the set that were not given for the tap water.
    levels : tuple of FillLevel
        All bounds of which something was given.
    volumes : HeldBack
        Rinse water that is held back, and deionised water that is added.
    """

    limit_set: LimitSet
    count: float
    controlled_by: LinearBound | None
    held: float
    finished: float
    unread: tuple[str, ...]
    levels: tuple[FillLevel, ...]
    volumes: HeldBack


@dataclass(frozen=True, slots=True)
class RinseAnswer:
    """Rinses for one system.

    Parameters
    ----------
    plan : RinsePlan
        From the old fill to the residue wanted.
    system, drains, efficiency : Estimate
        Volumes [L] and mixing efficiency [1].
    wanted : float
        Residue that may be left [1].
    proof : RinseProof or None
        What the readings show.
    uneven : bool
        Whether readings rise, or fall faster than rinsing in these volumes can make them.
    by_conductivity : bool
        Whether the readings are of conductivity.
    in_all : float
        Rinses to the residue, or more where so many must be of deionised water; NaN where no
        number will do.
    further : Estimate
        Rinses still needed by the readings; NaN where there are none.
    fitted_efficiency : Estimate
        Mixing efficiency by the readings [1]; NaN where there are none.
    last : LastRinses or None
        Which must be deionised; None where the tap water was not given.
    assumptions, questions, cautions : tuple of str
        What was assumed, what has to be settled, and keys of cautions.
    """

    plan: RinsePlan
    system: Estimate
    drains: Estimate
    efficiency: Estimate
    wanted: float
    proof: RinseProof | None
    uneven: bool
    by_conductivity: bool
    in_all: float
    further: Estimate
    fitted_efficiency: Estimate
    last: LastRinses | None
    assumptions: tuple[str, ...]
    questions: tuple[str, ...]
    cautions: tuple[str, ...]


def rinse(
    system: Estimate,
    drains: Estimate,
    *,
    target: Estimate | None = None,
    efficiency: Estimate | None = None,
    readings: RinseReadings | None = None,
    tap: Mapping[str, Estimate] | None = None,
    limits: str | None = None,
    fill: Estimate | None = None,
    strength: Estimate | None = None,
) -> RinseAnswer:
    """Answer how to rinse one system.

    Parameters
    ----------
    system, drains : Estimate
        Volume of the system, and of what drains [L].
    target : Estimate, optional
        Residue that may be left, 1 % unless stated [%].
    efficiency : Estimate, optional
        Of mixing, perfect unless stated [%].
    readings : RinseReadings, optional
        What was measured: proof.
    tap : mapping of str to Estimate, optional
        Of the tap water, by analyte [canonical units].
    limits : str, optional
        Limit set for the finished fill's water, by id or path; the default for fill water
        unless stated.
    fill, strength : Estimate, optional
        Percent of the finished fill, 50 unless stated, and of the concentrate, 100 [%].

    Returns
    -------
    RinseAnswer
        With what was assumed.

    Raises
    ------
    QuantityError
        For quantities that cannot be.
    LimitFileError
        If the limit set cannot be used.

    Examples
    --------
    >>> answer = rinse(exact(12.0), exact(8.0))
    >>> float(answer.plan.fills.value), float(answer.plan.water.value)
    (5.0, 40.0)
    """
    assumptions, wanted = [_MIXING], USUAL_RESIDUE
    if target is None:
        assumptions.append("No more than 1 % of the old fill may be left.")
    else:
        refuse_where(not target.is_exact, "the residue wanted must be a number, not a range")
        wanted = float(target.value) / 100.0
    mixes = exact(1.0)
    if efficiency is None:
        assumptions.append("Each fill mixes perfectly with what stays inside.")
    else:
        mixes = hull(lambda percent: percent / 100.0, efficiency)
    plan = plan_rinses(system, drains, wanted, mixes)
    odd: tuple[str, ...] = ()
    proof = None
    if readings is not None:
        odd = (
            *questions_of_rises(readings),
            *questions_of_falls(readings, system, drains),
        )
        proof = proof_of_rinses(readings, system, drains)
    fitted, further = by_readings(proof, system, drains, wanted)
    last = None
    if tap:
        last, told = _last_rinses(tap, limits, system, drains, mixes, fill, strength)
        assumptions += told
    if readings is not None and readings.analyte == CONDUCTIVITY:
        assumptions.append(
            "Conductivity is taken to fall in proportion; with more than a few per cent of glycol "
            "inside it reads low."
        )
    return RinseAnswer(
        plan=plan,
        system=system,
        drains=drains,
        efficiency=mixes,
        wanted=wanted,
        proof=proof,
        uneven=bool(odd),
        by_conductivity=readings is not None and readings.analyte == CONDUCTIVITY,
        in_all=_in_all(plan, last),
        further=further,
        fitted_efficiency=fitted,
        last=last,
        assumptions=tuple(assumptions),
        questions=(*odd, *_questions(last)),
        cautions=_CAUTIONS,
    )


def _in_all(plan: RinsePlan, last: LastRinses | None) -> float:
    """Return how many rinses it takes for both the residue and the fill's water."""
    fills = float(plan.fills.value)
    return fills if last is None else float(np.maximum(fills, last.count))


def _last_rinses(
    tap: Mapping[str, Estimate],
    limits: str | None,
    system: Estimate,
    drains: Estimate,
    mixes: Estimate,
    fill: Estimate | None,
    strength: Estimate | None,
) -> tuple[LastRinses, list[str]]:
    limit_set = load_set(limits) if limits is not None else choose("water")
    assert limit_set is not None  # there is always one for water
    if limit_set.material != "water":
        message = f"the limit set {limit_set.id} is for {limit_set.material}, not for water"
        raise QuantityError(message)
    told = []
    if fill is None:
        told.append("The finished fill is to have 50 % of concentrate.")
    if strength is None:
        told.append("The concentrate counts as 100 % and brings no water.")
    finished, strong = fill or exact(USUAL_FILL), strength or exact(100.0)
    volumes = held_back(
        SystemInUse(system, drains, fill=finished, strength=strong, efficiency=mixes)
    )
    assert volumes is not None  # what drains is known
    bounds, _ = linear_bounds(limit_set, deionised_water())
    given = tuple(b for b in bounds if all(key in tap for key, _, _ in b.terms))
    if not given:
        message = f"nothing that was given of the tap water has a bound in {limit_set.id}"
        raise QuantityError(message)

    def reading_of(key: str, basis: str | None) -> tuple[Column, Column]:
        return np.atleast_1d(tap[key].lower), np.atleast_1d(tap[key].upper)

    found = finished_fill(given, deionised_water(), reading_of, volumes, 1)
    levels = tuple(
        FillLevel(bound, float(found.level[0, k]), float(found.level_after[0, k]))
        for k, bound in enumerate(given)
    )
    place = int(found.controlled_by[0])
    if place < 0:  # no bound asks for a rinse: the nearest is told
        place = max(range(len(levels)), key=lambda k: _nearness(levels[k]))
    unread = tuple(b.title for b in bounds if b.essential and b not in given)
    told.append("Water that is filled with the concentrate is deionised.")
    return (
        LastRinses(
            limit_set=limit_set,
            count=float(found.rinses[0]),
            controlled_by=given[place],
            held=levels[place].without,
            finished=levels[place].after,
            unread=tuple(dict.fromkeys(unread)),
            levels=levels,
            volumes=volumes,
        ),
        told,
    )


def _nearness(level: FillLevel) -> float:
    """Say how near a level is to its bound, as a part of it."""
    bound = level.bound
    if bound.side == "upper":
        return level.without / bound.value if bound.value else np.inf
    return bound.value / level.without if level.without else np.inf


def _questions(last: LastRinses | None) -> list[str]:
    asked = []
    if last is not None and last.unread:
        asked.append(
            f"Of the tap water {', '.join(last.unread)} was not given: the number of deionised "
            "rinses holds for the rest."
        )
    return asked
