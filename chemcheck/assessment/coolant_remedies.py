"""What can be done for one coolant: replace a part and dose, or change it all."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.dispositions import disposition_rules
from chemcheck.assessment.new_fill import concentrate_strength, new_fill, remedy_setting
from chemcheck.assessment.remedy_record import Draft
from chemcheck.assessment.remedy_volumes import Volumes
from chemcheck.assessment.sample_levels import FREEZING, GLYCOL, Bools, Floats, SampleLevels
from chemcheck.assessment.unmixed_levels import to_measure, with_unmixed
from chemcheck.judging.bound_tables import (
    LOWER_ACTION,
    LOWER_WARNING,
    UPPER_ACTION,
    UPPER_WARNING,
)
from chemcheck.remedies.estimate import between
from chemcheck.remedies.part_replaced import (
    fill_percent,
    levels_after,
    share_to_replace,
)

# What is dosed alone in service.
DOSED = (
    "nitrite",
    "molybdenum",
    "azoles",
    "tolyltriazole",
    "benzotriazole",
    "mercaptobenzothiazole",
)
_NITRITE, _OIL = "nitrite", "oil"
_ALWAYS = ("hot_system", "glycol_is_poison", "disposal", "maker_and_local_rules")
_READ_AGAIN = (
    "Warm up with the heater on until the thermostat is open, let it cool, read the percent, and "
    "have a sample tested again."
)
_FIND_FAULT, _CORRECT = "find the fault first", "correct in place"
_ROUNDS = 5


@dataclass(frozen=True, slots=True)
class Needed:
    """What a coolant asks for.

    Parameters
    ----------
    share : float
        Of the system to replace [1]; infinite where replacing a part does not help.
    target : float
        Percent of glycol wanted [vol%].
    glycol : float
        Percent now [vol%]; NaN where not read.
    faults : tuple of str
        What has to be found out first.
    """

    share: float
    target: float
    glycol: float
    faults: tuple[str, ...]


def coolant_drafts(
    levels: SampleLevels, volumes: Volumes, *, change: bool = False
) -> Iterator[Draft]:
    """Give the remedies of one coolant.

    Parameters
    ----------
    levels : SampleLevels
        What it holds, and its bounds.
    volumes : Volumes
        Of its system.
    change : bool
        Whether a change is asked for, even if replacing nothing would do by the bounds.
    """
    if not levels.troubled.any() and not change:
        return
    needed = _needed(levels)
    if needed.share <= remedy_setting("most_replaced"):
        yield from _in_place(levels, volumes, needed)
    yield from _thinned(levels, volumes, needed)
    if needed.share > 0.0 or change:
        yield _change(levels, volumes, needed)


def _needed(levels: SampleLevels) -> Needed:
    """Work out what share has to be replaced, and for which percent."""
    place = levels.place(GLYCOL)
    now = np.nan if place is None else 0.5 * float(levels.lower[place] + levels.upper[place])
    if np.isinf(now):
        now = np.nan
    cold = levels.place(FREEZING)
    wrong = any(k is not None and bool(levels.troubled[k]) for k in (place, cold))
    target = remedy_setting("usual_mix") if wrong or np.isnan(now) else now
    share = 0.0
    if wrong and not np.isnan(now):
        strong = float(concentrate_strength(levels).value)
        toward = strong if now < target else 0.0
        share = (target - now) / (toward - now) if toward != now else 0.0
    elif wrong:
        share = np.inf
    others = levels.troubled & ~np.isin(levels.analytes, (GLYCOL, FREEZING, *DOSED))
    over = _dosed_too_high(levels)
    if (others | over).any():
        share = _share_of_others(levels, share, now, target, others | over)
    return Needed(share, target, now, tuple(_faults(levels)))


def _share_of_others(
    levels: SampleLevels, share: float, now: float, target: float, which: Bools
) -> float:
    """Return the share that brings other readings within their bounds too.

    What has to be filled depends on the share, and the share on what is filled.
    """
    least, most = _bounds_with_margin(levels)
    percent = target
    for _ in range(_ROUNDS):
        fill = new_fill(levels, percent)
        shares = share_to_replace(levels.lower, levels.upper, fill.lower, fill.upper, least, most)
        wanted = float(np.where(levels.mixes, shares, np.inf)[which].max())
        found = max(share, remedy_setting("rounding") * wanted)
        if not 0.0 < found < 1.0 or np.isnan(now):
            return found
        percent = _percent_to_fill(levels, now, target, found)
    return found


def _percent_to_fill(levels: SampleLevels, now: float, target: float, share: float) -> float:
    """Return the percent of what is filled, as far as the concentrate goes."""
    strongest = float(concentrate_strength(levels).value)
    return float(np.clip(fill_percent(now, target, share), 0.0, strongest))


def _bounds_with_margin(levels: SampleLevels) -> tuple[Floats, Floats]:
    """Return action bounds moved in by the method's uncertainty, in proportion to the level."""
    with np.errstate(divide="ignore", invalid="ignore"):
        above = np.nan_to_num(levels.margin / levels.upper)
        below = np.nan_to_num(levels.margin / levels.lower)
    least, most = levels.bounds[LOWER_ACTION], levels.bounds[UPPER_ACTION]
    return least / np.maximum(1.0 - below, 0.5), most / (1.0 + above)


def _faults(levels: SampleLevels) -> Iterator[str]:
    """Say what has to be found out before anything is filled, each once."""
    rules = disposition_rules()
    told = set()
    for place in np.flatnonzero(levels.troubled).tolist():
        side = levels.side(place)
        what, why = rules.of(
            "coolant", levels.analytes[place], "upper" if side == "upper" else "lower"
        )
        if what == _FIND_FAULT:
            told.add((analyte_of(levels.analytes[place]).title, why))
    if told:
        names = ", ".join(sorted(name for name, _ in told))
        yield f"Find the fault first ({names}): {sorted(why for _, why in told)[0]}."


def _in_place(levels: SampleLevels, volumes: Volumes, needed: Needed) -> Iterator[Draft]:
    """Replace as little as has to be, then dose what is too low still; nothing if neither is."""
    lower, upper, steps, needs = levels.lower, levels.upper, list(needed.faults), []
    cautions = dict.fromkeys(_ALWAYS)
    names = []
    share = volumes.share(needed.share)
    if needed.share > 0.0:
        percent = needed.target
        if not np.isnan(needed.glycol):
            percent = _percent_to_fill(levels, needed.glycol, needed.target, needed.share)
        fill = new_fill(levels, percent)
        lower, upper = levels_after(levels.lower, levels.upper, fill.lower, fill.upper, share)
        names.append(_filling_name(needed, fill.concentrate))
        steps += volumes.replace_steps(needed.share, fill.concentrate)
        needs += [*volumes.needs, *_fill_needs(levels)]
    lower, upper = with_unmixed(levels, lower, upper, needed.share)
    doses = list(_doses(levels, lower, upper))
    for place, target in doses:
        names.append(f"dose {analyte_of(levels.analytes[place]).title}")
        steps.append(volumes.dose_step(levels.analytes[place], float(lower[place]), target))
        half = 0.5 * float(levels.upper[place] - levels.lower[place])
        lower[place], upper[place] = max(target - half, 0.0), target + half
        needs.append("the strength of the additive, by its label or sheet")
        cautions["nitrite_and_amine"] = None
    if doses and needed.share == 0.0:
        cautions.pop("disposal")
        needs += volumes.needs_to_dose
    if levels.confirm or levels.technology is None:
        cautions["confirm_first"] = None
    if not names:
        return
    title = " and ".join(names)
    yield Draft(
        title=title[:1].upper() + title[1:],
        steps=(*steps, _READ_AGAIN),
        lower=lower,
        upper=upper,
        litres=needed.share,
        cautions=tuple(cautions),
        needs=tuple(dict.fromkeys((*needs, *to_measure(levels, lower)))),
    )


def _thinned(levels: SampleLevels, volumes: Volumes, needed: Needed) -> Iterator[Draft]:
    """Thin inhibitors that are too high with deionised water, as far as the glycol bears it."""
    over = _to_thin(levels)
    if not over.any() or np.isnan(needed.glycol) or needed.target != needed.glycol:
        return
    water = new_fill(levels, 0.0)
    least, most = _bounds_with_margin(levels)
    shares = share_to_replace(levels.lower, levels.upper, water.lower, water.upper, least, most)
    share = remedy_setting("rounding") * float(shares[over].max())
    if not 0.0 < share <= remedy_setting("most_replaced"):
        return
    lower, upper = levels_after(
        levels.lower, levels.upper, water.lower, water.upper, volumes.share(share)
    )
    lower, upper = with_unmixed(levels, lower, upper, share)
    cautions = (*_ALWAYS, "confirm_first") if levels.confirm else _ALWAYS
    names = ", ".join(analyte_of(levels.analytes[k]).title for k in np.flatnonzero(over))
    yield Draft(
        title="Thin with deionised water",
        steps=(
            *needed.faults,
            f"Dose no more: {names} too high.",
            *volumes.replace_steps(share, 0.0),
            _READ_AGAIN,
        ),
        lower=lower,
        upper=upper,
        litres=share,
        cautions=cautions,
        needs=tuple(dict.fromkeys((*volumes.needs, *to_measure(levels, lower)))),
    )


def _dosed_too_high(levels: SampleLevels) -> Bools:
    """Return which columns are dosed alone in service, and above their bound."""
    return np.array(
        [
            levels.troubled[k] and key in DOSED and levels.side(k) == "upper"
            for k, key in enumerate(levels.analytes)
        ],
        dtype=np.bool_,
    )


def _to_thin(levels: SampleLevels) -> Bools:
    """Return which inhibitors are above a bound that draining a part cures."""
    rules = disposition_rules()
    return np.array(
        [
            levels.troubled[k]
            and levels.mixes[k]
            and key != GLYCOL
            and levels.side(k) == "upper"
            and rules.of("coolant", key, "upper")[0] == _CORRECT
            for k, key in enumerate(levels.analytes)
        ],
        dtype=np.bool_,
    )


def _change(levels: SampleLevels, volumes: Volumes, needed: Needed) -> Draft:
    """Drain, rinse and refill the whole system."""
    percent, wanted = remedy_setting("usual_mix"), remedy_setting("residue")
    fill = new_fill(levels, percent)
    strength = percent / fill.concentrate
    rinses, residue = volumes.rinses(wanted, volumes.fillings(percent, strength))
    share = between(1.0 - residue.upper, 1.0 - residue.lower)
    ends_at = volumes.refilled(percent, strength)
    thin, rich = (new_fill(levels, float(end)) for end in (ends_at.lower, ends_at.upper))
    lower, upper = levels_after(levels.lower, levels.upper, thin.lower, rich.upper, share)
    lower, upper = with_unmixed(levels, lower, upper, 1.0)
    cautions = dict.fromkeys((*_ALWAYS, "flushing_agent", "pressure_test"))
    if levels.place(_NITRITE) is not None:
        cautions["nitrite_and_acid"] = None
    oil = levels.place(_OIL)
    if oil is not None and levels.troubled[oil]:
        cautions["oily_coolant"] = None
    if levels.confirm or levels.technology is None:
        cautions["confirm_first"] = None
    return Draft(
        title="Drain, rinse and refill",
        steps=(
            *needed.faults,
            *volumes.change_steps(percent, fill.concentrate, wanted),
            _READ_AGAIN,
        ),
        lower=lower,
        upper=upper,
        litres=1.0 + rinses,
        cautions=tuple(cautions),
        needs=tuple(
            dict.fromkeys(
                (
                    *volumes.needs,
                    *volumes.needs_of_rinse_water,
                    *_fill_needs(levels),
                    *to_measure(levels, lower),
                )
            )
        ),
        keeps_fill=False,
    )


def _filling_name(needed: Needed, concentrate: float) -> str:
    if concentrate <= 0.01:
        return "thin with deionised water"
    if concentrate >= 0.99:
        return "strengthen with concentrate"
    return "replace part of the coolant"


def _doses(levels: SampleLevels, lower: Floats, upper: Floats) -> Iterator[tuple[int, float]]:
    """Give what is below its lower bound still and dosed alone, with the level to dose to."""
    bounds = levels.bounds
    for place, key in enumerate(levels.analytes):
        if key not in DOSED or not levels.troubled[place] or levels.side(place) != "lower":
            continue
        if np.isnan(lower[place]):
            continue
        least = float(max(bounds[LOWER_ACTION, place], bounds[LOWER_WARNING, place]))
        most = float(min(bounds[UPPER_ACTION, place], bounds[UPPER_WARNING, place]))
        if float(lower[place] - levels.margin[place]) >= bounds[LOWER_ACTION, place]:
            continue
        target = 0.5 * (least + most) if np.isfinite(most) else 1.25 * least
        if float(upper[place]) < target:
            yield place, target


def _fill_needs(levels: SampleLevels) -> Iterator[str]:
    if levels.fresh < 0:
        yield (
            "what the new coolant holds: no sample shows it fresh, so that it is taken to lie "
            "within its bounds and to bring next to nothing of what use brings"
        )
