"""What a coolant is: which glycol, how much of it, and how well that is known."""

from dataclasses import dataclass, replace

import numpy as np

from chemcheck.chemistry.glycol_percent import mass_percent, volume_percent
from chemcheck.errors import QuantityError
from chemcheck.limit_library.glycol_properties import (
    BASES,
    GLYCOL_FILES,
    GlycolProperties,
    find_glycol,
    glycol_properties,
)
from chemcheck.limit_library.methods import methods, precision_of
from chemcheck.remedies.estimate import Estimate, hull, joined
from chemcheck.remedies.glycol_reading import (
    GlycolReading,
    by_density,
    by_freezing_point,
    combine,
    widened,
    without_second,
)
from chemcheck.remedies.refractometer import by_brix, by_refractive_index, on_the_wrong_scale

_MIXED = ("mixed", "mixture", "both", "mix")
_AT_20 = 20.0
_KILO = 1000.0


@dataclass(frozen=True, slots=True)
class Measured:
    """What was read of a coolant; None where it was not.

    Parameters
    ----------
    percent : Estimate or None
        Share stated or read [%].
    percent_by : {"volume", "mass", ""}
        What it counts; empty where nobody said.
    freezing_point : Estimate or None
        [deg C].
    refractive_index : Estimate or None
        [1].
    brix : Estimate or None
        [Bx].
    density : Estimate or None
        [kg/m3].
    temperature : Estimate or None
        Of the sample when density, index or Brix were read; None where the instrument
        compensates, and 20 C for a density [deg C].
    scale : str or None
        Glycol of the refractometer's freezing scale, where it is another than the coolant's.
    """

    percent: Estimate | None = None
    percent_by: str = ""
    freezing_point: Estimate | None = None
    refractive_index: Estimate | None = None
    brix: Estimate | None = None
    density: Estimate | None = None
    temperature: Estimate | None = None
    scale: str | None = None


@dataclass(frozen=True, slots=True)
class GlycolShare:
    """What a coolant is.

    Parameters
    ----------
    glycols : tuple of GlycolProperties
        The glycol; both where nobody said which.
    basis : {"inhibited", "pure"} or None
        Whose percent it is; None where nobody said.
    percents : tuple of Estimate
        Share by volume, as each glycol would have it [vol%].
    percent : Estimate
        Of the first glycol with the interval of all [vol%].
    measured_freezing : Estimate or None
        Freezing point as measured, with the method's uncertainty [deg C].
    readings : tuple of GlycolReading
        What each method says, of the first glycol.
    other_scale : tuple of (float, float) or None
        Freezing point [deg C] and share [vol%] if the refractometer's freezing scale was
        the other glycol's.
    assumptions, questions : tuple of str
        What was assumed, and what does not agree.
    """

    glycols: tuple[GlycolProperties, ...]
    basis: str | None
    percents: tuple[Estimate, ...]
    percent: Estimate
    measured_freezing: Estimate | None
    readings: tuple[GlycolReading, ...]
    other_scale: tuple[float, float] | None
    assumptions: tuple[str, ...]
    questions: tuple[str, ...]


def stated_share(
    percent: Estimate, percent_by: str, glycol: str | None = None, basis: str | None = None
) -> GlycolShare:
    """Return what a coolant of a stated share is; see `glycol_share`.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> share = stated_share(exact(50.0), "mass", "ethylene_glycol", "inhibited")
    >>> float(share.percent.value.round(1))
    47.6
    """
    return glycol_share(Measured(percent=percent, percent_by=percent_by), glycol, basis)


def glycol_share(
    measured: Measured, glycol: str | None = None, basis: str | None = None
) -> GlycolShare:
    """Work out what a coolant is from all that was said and read of it.

    Parameters
    ----------
    measured : Measured
        What was said and read.
    glycol : str, optional
        ``ethylene`` or ``propylene``, by any of their names; both are counted with where it
        is not said, and the first is shown.
    basis : {"inhibited", "pure"}, optional
        Whose percent is meant.

    Returns
    -------
    GlycolShare
        With what was assumed, and readings that exclude each other.

    Raises
    ------
    QuantityError
        For mixed or unknown glycols, an unknown basis, or nothing to go by.
    """
    keys, told = _keys(glycol)
    if basis is not None and basis not in BASES:
        message = f"{basis!r} is no basis of a percent; expected one of: {', '.join(BASES)}"
        raise QuantityError(message)
    if basis is None:
        told.append(
            "Whether the percent counts inhibited concentrate or glycol free of additives was not "
            "said: the value is of inhibited coolant, the interval holds both."
        )
    glycols = tuple(glycol_properties(key) for key in keys)
    measured, other = _right_scale(measured, glycols[0])
    readings = [_readings(measured, one, basis) for one in glycols]
    if not readings[0]:
        message = (
            "nothing is known of the coolant: give --glycol-percent, --freezing-point, "
            "--refractive-index, --brix or --density"
        )
        raise QuantityError(message)
    combined = [combine(one) for one in readings]
    questions = _disagreements(combined[0][1], measured, other, glycols[0])
    told += _told(measured)
    percents = tuple(_known(percent) for percent, _ in combined)
    uncertainty = _uncertainty("refractometer", "freezing_point")
    return GlycolShare(
        glycols=glycols,
        basis=basis,
        percents=percents,
        percent=joined(percents),
        measured_freezing=None
        if measured.freezing_point is None
        else widened(measured.freezing_point, uncertainty),
        readings=tuple(readings[0]),
        other_scale=other,
        assumptions=tuple(told),
        questions=tuple(questions + _second(readings[0])),
    )


def _keys(glycol: str | None) -> tuple[tuple[str, ...], list[str]]:
    if glycol is None:
        return GLYCOL_FILES, [
            "Which glycol it is was not said: values are of ethylene glycol, intervals hold "
            "propylene glycol as well."
        ]
    named = {key for part in _parts(glycol) if (key := find_glycol(part)) is not None}
    if len(named) > 1 or glycol.strip().casefold() in _MIXED:
        message = (
            "a mixture of both glycols is refused: freezing point, density and refractive index "
            "are one number each and cannot tell two shares; have a laboratory tell them apart"
        )
        raise QuantityError(message)
    key = find_glycol(glycol)
    if key is None:
        message = f"{glycol!r} is no glycol known here; expected ethylene or propylene"
        raise QuantityError(message)
    return (key,), []


def _parts(glycol: str) -> list[str]:
    for mark in ("+", "/", "&", ","):
        glycol = glycol.replace(mark, " and ")
    return glycol.casefold().split(" and ")


def _readings(
    measured: Measured, glycol: GlycolProperties, basis: str | None
) -> list[GlycolReading]:
    """Return what each method says, if the coolant is of this glycol."""
    found = []
    if measured.percent is not None:
        percent = _by_volume(measured.percent, measured.percent_by, glycol, basis)
        found.append(without_second("percent stated", percent))
    if measured.freezing_point is not None:
        spread = _uncertainty("refractometer", "freezing_point")
        found.append(by_freezing_point(measured.freezing_point, spread, glycol, basis))
    warm = None if measured.temperature is None else measured.temperature.value
    if measured.refractive_index is not None:
        spread = _uncertainty("refractometer", "refractive_index")
        found.append(by_refractive_index(measured.refractive_index, spread, glycol, basis, warm))
    if measured.brix is not None:
        spread = _uncertainty("refractometer", "brix")
        found.append(by_brix(measured.brix, spread, glycol, basis, warm))
    if measured.density is not None:
        spread = _KILO * _uncertainty("laboratory_coolant", "density")
        heat = _AT_20 if warm is None else warm
        found.append(by_density(measured.density, spread, heat, glycol, basis))
    return found


def _by_volume(percent: Estimate, by: str, glycol: GlycolProperties, basis: str | None) -> Estimate:
    """Turn a percent by mass into one by volume, as the bases count it."""
    if by != "mass":
        return percent
    tables = glycol.of("mass_percent", basis)
    ways = (*tables, None) if basis != "inhibited" else tables
    return joined(
        [hull(lambda x, way=way: volume_percent(x, glycol.pure, way), percent) for way in ways]
    )


def _right_scale(
    measured: Measured, glycol: GlycolProperties
) -> tuple[Measured, tuple[float, float] | None]:
    """Turn a reading on the other glycol's scale into this one's; or say what it would be."""
    reading = measured.freezing_point
    if reading is None:
        if measured.scale is not None:
            message = "--scale belongs to --freezing-point"
            raise QuantityError(message)
        return measured, None
    [other] = [key for key in GLYCOL_FILES if key != glycol.pure.key]
    strange = glycol_properties(other)
    if measured.scale is None:
        freezing, percent = on_the_wrong_scale(reading.value, glycol, strange)
        return measured, (float(freezing), float(percent))
    key = find_glycol(measured.scale)
    if key is None:
        message = f"{measured.scale!r} is no glycol known here; expected ethylene or propylene"
        raise QuantityError(message)
    if key == glycol.pure.key:
        return measured, None
    turned = hull(lambda t: on_the_wrong_scale(t, strange, glycol)[0], reading)
    return replace(measured, freezing_point=turned), None


def _uncertainty(method: str, analyte: str) -> float:
    return precision_of(methods()[method], analyte).absolute


def _known(percent: Estimate) -> Estimate:
    if np.isnan(percent.value):
        message = (
            "what was read fits no share from 0 to 60 vol% of this glycol: was it another glycol, "
            "another scale, or another liquid?"
        )
        raise QuantityError(message)
    return percent


def _told(measured: Measured) -> list[str]:
    told = []
    if measured.percent is not None and not measured.percent_by:
        told.append(
            "A plain per cent counts volume, as labels do; 50 mass% of ethylene glycol are only "
            "47.6 vol%."
        )
    if measured.temperature is None and measured.density is not None:
        told.append("The density was read at 20 C.")
    if measured.temperature is None and (measured.refractive_index or measured.brix) is not None:
        told.append("The refractometer compensates temperature, or was read at 20 C.")
    if measured.density is not None:
        told.append(
            "Inhibitors make a coolant denser than its glycol, which reads up to 4 vol% too high."
        )
    return told


def _disagreements(
    apart: tuple[tuple[str, str], ...],
    measured: Measured,
    other: tuple[float, float] | None,
    glycol: GlycolProperties,
) -> list[str]:
    asked = [
        f"{one.capitalize()} and {two} exclude each other: another glycol or the wrong scale, "
        "salts or too much additive, or a reading of another sample. The interval holds both."
        for one, two in apart
    ]
    if measured.freezing_point is not None and other is not None and not np.isnan(other[0]):
        [name] = [key for key in GLYCOL_FILES if key != glycol.pure.key]
        asked.append(
            f"Read on the scale for {glycol.pure.title}: if the coolant is "
            f"{glycol_properties(name).pure.title}, it freezes at {other[0]:.0f} C and has "
            f"{other[1]:.0f} vol%. Is the scale the right one?"
        )
    return asked


def _second(readings: list[GlycolReading]) -> list[str]:
    return [
        f"About {float(one.second):.0f} vol% freezes there as well: add one part of water to four "
        "of a sample; if it then freezes at a colder temperature, it is that."
        for one in readings
        if np.isfinite(one.second)
    ]


def by_mass(share: GlycolShare) -> Estimate:
    """Return the share of glycol by mass.

    Parameters
    ----------
    share : GlycolShare
        What the coolant is.

    Returns
    -------
    Estimate
        [mass%].
    """
    ways = [
        (one, percent, table)
        for one, percent in zip(share.glycols, share.percents, strict=True)
        for table in (*one.of("mass_percent", share.basis), None)
        if table is not None or share.basis != "inhibited"
    ]
    return joined(
        [hull(lambda x, g=one, t=table: mass_percent(x, g.pure, t), percent)
         for one, percent, table in ways]
    )  # fmt: skip
