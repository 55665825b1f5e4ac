"""The margins of a coolant: to freezing, to boiling, and at the pump's inlet."""

from collections.abc import Callable

import numpy as np

from chemcheck.assessment.glycol_share import GlycolShare
from chemcheck.assessment.margins_record import MarginsAnswer, Setting
from chemcheck.chemistry.standard_atmosphere import air_pressure
from chemcheck.chemistry.suction_head import tip_speed
from chemcheck.errors import QuantityError
from chemcheck.limit_library.assumed_values import cooling_circuit
from chemcheck.limit_library.glycol_properties import GlycolProperties
from chemcheck.remedies.burst_table import burst_table, bursts_below
from chemcheck.remedies.cold_margin import ColdMargin, cold_margin, freezing
from chemcheck.remedies.estimate import Estimate, between, exact, hull, joined, refuse_where
from chemcheck.remedies.margins import (
    CapMargins,
    Circuit,
    boiling_by_rule,
    cap_margins,
    vapour_pressure,
)
from chemcheck.remedies.refill_plan import RefillPlan, adjust

_UNKNOWN = exact(np.nan)
_PROPYLENE = "propylene_glycol"
# Where the curve of freezing points turns, and no more glycol helps [vol%].
_MOST_GLYCOL, _MOST_BOILED = 60.0, 95.0


def margins(share: GlycolShare, setting: Setting) -> MarginsAnswer:
    """Answer how far a coolant is from freezing, boiling, and boiling at the pump.

    Parameters
    ----------
    share : GlycolShare
        What the coolant is.
    setting : Setting
        Where it works.

    Returns
    -------
    MarginsAnswer
        With what was assumed.

    Raises
    ------
    QuantityError
        For quantities that cannot be.

    Examples
    --------
    >>> from chemcheck.assessment.glycol_share import stated_share
    >>> from chemcheck.assessment.margins_record import Setting
    >>> share = stated_share(exact(50.0), "volume", "ethylene_glycol")
    >>> answer = margins(share, Setting(cap=exact(103.0)))
    >>> [round(float(one.boils.value), 1) for one in answer.caps]
    [129.7, 120.3, 107.8]
    """
    refuse_where(
        share.percent.upper > _MOST_BOILED,
        f"above {_MOST_BOILED:.0f} vol% it is concentrate and no coolant: no margins are reckoned",
    )
    circuit, assumptions = _circuit(setting)
    caps = _caps(share, setting, circuit, assumptions)
    freezes, uncertain = _freezes(share)
    rule = cooling_circuit()["cap_rule"].upper
    cold = swap = None
    if setting.coldest is not None:
        cold, swap = _cold(share, setting, freezes, assumptions)
    bursts = None
    if setting.burst:
        bursts = bursts_below(burst_table(setting.burst), share.percent)
        assumptions.append("The percents of the maker's table of bursting count vol% of glycol.")
    return MarginsAnswer(
        share=share,
        setting=setting,
        circuit=circuit,
        freezes=freezes,
        uncertain=uncertain,
        caps=caps,
        vapour=_over(share, lambda p, g: vapour_pressure(circuit.inlet_temperature, p, g)),
        by_rule=_UNKNOWN
        if setting.cap is None
        else boiling_by_rule(caps[-1].boils, setting.cap, rule),
        cold=cold,
        swap=swap,
        bursts=bursts,
        assumptions=(*share.assumptions, *assumptions),
        questions=(
            *share.questions,
            *_questions(setting, share, uncertain),
            *_cap_questions(setting),
            *_models_apart(share, caps),
            *_burst_questions(bursts, freezes),
        ),
        cautions=_caution_keys(share, swap),
    )


def _over(
    share: GlycolShare, compute: Callable[[Estimate, GlycolProperties], Estimate]
) -> Estimate:
    """Compute for each glycol that it may be, and join what they say."""
    return joined(
        [compute(percent, one) for one, percent in zip(share.glycols, share.percents, strict=True)]
    )


def _circuit(setting: Setting) -> tuple[Circuit, list[str]]:
    """Fill in what was not said of the circuit, and say so."""
    assumed, told = cooling_circuit(), []
    if setting.ambient is not None and setting.altitude is not None:
        message = "give the altitude or the air's pressure, not both"
        raise QuantityError(message)
    ambient = setting.ambient
    if ambient is None:
        ambient = hull(air_pressure, setting.altitude or exact(0.0))
        if setting.altitude is None:
            told.append("At sea level.")
        told.append("Air of the standard atmosphere; weather moves it by about 3 kPa (memory).")
    loss = setting.suction_loss
    if loss is None:
        usual = assumed["suction_loss"]
        loss = between(usual.lower, usual.upper)
        told.append(
            f"From the cap to the pump's inlet {usual.lower:g} to {usual.upper:g} kPa are lost "
            f"({usual.evidence}): measure it, it decides."
        )
    if setting.needed_head is None:
        margin = assumed["head_margin"]
        told.append(
            "What head the pump needs was not said: the margin is counted down to zero. A pump "
            f"text wants {margin.lower:g} to {margin.upper:g} m above what the maker states "
            f"({margin.evidence})."
        )
    speed = _UNKNOWN
    if (setting.impeller is None) != (setting.speed is None):
        message = "the cavitation number takes both --impeller and --speed"
        raise QuantityError(message)
    if setting.impeller is not None and setting.speed is not None:
        refuse_where(
            (setting.impeller.lower <= 0.0) | (setting.speed.lower <= 0.0),
            "the impeller's diameter and speed must be above zero",
        )
        speed = hull(tip_speed, setting.impeller, setting.speed)
    refuse_where(loss.lower < 0.0, "the suction loss cannot be below zero")
    inlet = setting.inlet_temperature or _UNKNOWN
    refuse_where(
        (inlet.lower < 0.0) | (inlet.upper > 130.0),
        "the temperature at the pump's inlet must lie between 0 and 130 C",
    )
    needed = setting.needed_head or exact(0.0)
    return Circuit(ambient, loss, inlet, needed, speed), told


def _caps(
    share: GlycolShare, setting: Setting, circuit: Circuit, told: list[str]
) -> tuple[CapMargins, ...]:
    """Reckon the cap as rated, weak and dead."""
    states = []
    if setting.cap is not None:
        weak = setting.cap_opens
        if weak is None:
            part = cooling_circuit()["weak_cap"]
            weak = hull(lambda rating: part.upper * rating, setting.cap)
            told.append(
                f"A weak cap is shown at {100 * part.upper:g} % of its rating, as an example "
                f"({part.evidence}); one that was tested: --cap-opens."
            )
        states += [("rated", setting.cap), ("weak", weak)]
    elif setting.cap_opens is not None:
        message = "--cap-opens needs the rating as well: --cap"
        raise QuantityError(message)
    states.append(("dead", exact(0.0)))
    found = []
    for state, gauge in states:
        parts = [
            cap_margins(state, gauge, circuit, percent, glycol, share.basis)
            for glycol, percent in zip(share.glycols, share.percents, strict=True)
        ]
        found.append(
            CapMargins(
                state=state,
                gauge=gauge,
                boils=joined([one.boils for one in parts]),
                head=joined([one.head for one in parts]),
                cavitation=joined([one.cavitation for one in parts]),
                ends_at=joined([one.ends_at for one in parts]),
            )
        )
    return tuple(found)


def _freezes(share: GlycolShare) -> tuple[Estimate, bool]:
    """Return the freezing point as measured, else by the tables."""
    if share.measured_freezing is not None:
        return share.measured_freezing, False
    parts = [
        freezing(percent, glycol, share.basis)
        for glycol, percent in zip(share.glycols, share.percents, strict=True)
    ]
    return joined([one for one, _ in parts]), any(bool(np.any(mark)) for _, mark in parts)


def _cold(
    share: GlycolShare, setting: Setting, freezes: Estimate, told: list[str]
) -> tuple[ColdMargin, RefillPlan | None]:
    coldest, safety = setting.coldest, setting.safety
    assert coldest is not None
    if not setting.coldest_has_unit:
        told.append(
            f"The coldest temperature, {float(coldest.value):g}, counts deg C: in deg F write F "
            "behind it."
        )
    if safety is None:
        safety = exact(0.0)
        told.append("No margin below the coldest temperature was asked for: the maker states it.")
    refuse_where(safety.lower < 0.0, "the margin below the coldest temperature is below zero")
    refuse_where(coldest.upper > 40.0, "the coldest temperature expected is above 40 C")
    parts = [
        cold_margin(coldest, safety, freezes, percent, glycol, share.basis)
        for glycol, percent in zip(share.glycols, share.percents, strict=True)
    ]
    cold = ColdMargin(
        margin=parts[0].margin,
        needed=joined([one.needed for one in parts]),
        ice=joined([one.ice for one in parts]),
    )
    if setting.system is None or not np.isfinite(cold.needed.value):
        return cold, None
    strength = setting.strength or exact(100.0)
    if setting.strength is None:
        told.append("The concentrate counts as 100 %.")
    # A mix that is strong enough stays.
    target = exact(max(float(cold.needed.value), float(share.percent.value)))
    return cold, adjust(setting.system, setting.system, share.percent, target, strength)


def _questions(setting: Setting, share: GlycolShare, uncertain: bool) -> list[str]:
    asked = []
    if setting.pump_side is None:
        asked.append(
            "Which side does the pump draw from? On many layouts it is the radiator's outlet, "
            "which is colder than the engine's: the temperature there is what counts. Say it with "
            "--pump-side."
        )
    if uncertain or share.percent.upper > _MOST_GLYCOL:
        asked.append(
            f"Above {_MOST_GLYCOL:.0f} vol% the freezing point does not fall for sure: between 60 "
            "and 68 vol% measurements disagree, and above that it rises again. Thin it."
        )
    return asked


def _cap_questions(setting: Setting) -> list[str]:
    if setting.cap is None or setting.cap_opens is None:
        return []
    if not float(setting.cap_opens.lower) > float(setting.cap.upper):
        return []
    return [
        f"The cap opens at {float(setting.cap_opens.value):.3g} kPa, above its rating of "
        f"{float(setting.cap.value):.3g}: it does not protect hoses and radiator. Replace it, and "
        "count on no more than the rating."
    ]


def _burst_questions(bursts: Estimate | None, freezes: Estimate) -> list[str]:
    if bursts is None:
        return []
    if np.isnan(bursts.value):
        return ["The share of glycol lies outside the maker's table of bursting: nothing is said."]
    if bursts.value >= freezes.value:
        return [
            f"Bursting at {float(bursts.value):.3g} C is not below the freezing point of "
            f"{float(freezes.value):.3g} C: is that column the maker's freezing point, or the "
            "table of another glycol?"
        ]
    return []


def _models_apart(share: GlycolShare, caps: tuple[CapMargins, ...]) -> list[str]:
    """Own up to boiling points on which models of propylene glycol disagree."""
    if all(one.pure.key != _PROPYLENE for one in share.glycols):
        return []
    boils = caps[0].boils
    return [
        "No measured boiling points of propylene glycol with water are at hand, and models of them "
        f"spread from {float(boils.lower):.1f} to {float(boils.upper):.1f} C here: count on the "
        "lower end."
    ]


def _caution_keys(share: GlycolShare, swap: RefillPlan | None) -> tuple[str, ...]:
    keys = ["hot_system", "glycol_is_poison", "pressure_test", "maker_and_local_rules"]
    if share.readings:
        keys.append("sampling")
    if swap is not None:
        keys.append("disposal")
    return tuple(keys)
