"""What the water chemistry needs of a water: as read, as it follows, or as it is bounded.

Nothing that was not read is taken for a value. What follows from other readings is reckoned from
them; what does not is an interval, as wide as those readings and the charge balance leave it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.box_search import INPUTS
from chemcheck.chemistry.dissolved_solids import (
    dissolved_solids_from_conductivity,
)
from chemcheck.chemistry.hardness import CACO3_PER_CALCIUM, CACO3_PER_MAGNESIUM
from chemcheck.chemistry.ions import IONS
from chemcheck.chemistry.waters import SILICA_MOLAR_MASS
from chemcheck.judging.ion_bounds import (
    ALKALINITY_EQUIVALENT,
    ANIONS,
    OTHER_ANIONS,
    added,
    alkalinity_by_charges,
    alkalinity_by_solids,
    filled_solids,
    first_known,
    only_where,
    or_none,
    share_of_solids,
    times,
    up_to,
    with_others,
)
from chemcheck.judging.water_cross_checks import Interval
from chemcheck.limit_library import find_method
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.record import Readings

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

# What an input is taken for that was not read.
TAP_TEMPERATURE = "temperature of a tap"
LABORATORY_TEMPERATURE = "temperature of a laboratory"
BY_DIFFERENCE = "hardness less the other metal"
SHARE_OF_HARDNESS = "none to all of the hardness"
BY_SOLIDS = "none to what the dissolved solids leave room for"
BY_CEILING = "none to what tap water may hold"
OF_CARBONATES = "bicarbonate and carbonate"
BY_CHARGES = "what the charge balance leaves"
UNBOUNDED = "anything"
CONTRADICTED = "nothing: solids and conductivity contradict each other"

# What is said of an input that was not read.
ASSUMED_WORDS: Mapping[str, str] = {
    TAP_TEMPERATURE: "that of a tap, as none is stated",
    LABORATORY_TEMPERATURE: "that of a laboratory, as none is stated",
    BY_DIFFERENCE: "by difference from the hardness",
    SHARE_OF_HARDNESS: "from none to all of the hardness",
    BY_SOLIDS: "from none to what the dissolved solids or the conductivity leave room for",
    BY_CEILING: "from none to what tap water may hold",
    OF_CARBONATES: "of bicarbonate and carbonate",
    BY_CHARGES: "by the charge balance",
    UNBOUNDED: "without a bound",
    CONTRADICTED: "not used, as dissolved solids and conductivity contradict each other",
}

SILICON_MOLAR_MASS = 28.085  # [g/mol], IUPAC 2021


@dataclass(frozen=True, slots=True)
class WaterAnalysis:
    """Inputs of the water chemistry.

    Parameters
    ----------
    lower, upper : mapping of str to ndarray, shape (n,)
        By the names of `chemcheck.chemistry.intervals.INPUTS`: pH, alkalinity [mg/L as CaCO3],
        ions [mg/L], temperature of sampling [deg C]. NaN in all where the water cannot be
        reckoned: no pH, nothing that bounds calcium and magnesium, or no water. Nitrate and
        fluoride are counted with the chloride; silica that was not read counts as none.
    dissolved_solids : Interval
        [mg/L].
    calcium_hardness, total_hardness, alkalinity : Interval
        [mg/L as CaCO3].
    chloride, sulfate, silica, phosphate : Interval
        As read, NaN where they were not [mg/L; silica as SiO2, phosphate as PO4].
    assumed : mapping of (str, str) to ndarray of bool, shape (n,)
        Where an input is not as read, by its name and what it was taken for.
    """

    lower: Mapping[str, Floats]
    upper: Mapping[str, Floats]
    dissolved_solids: Interval
    calcium_hardness: Interval
    total_hardness: Interval
    alkalinity: Interval
    chloride: Interval
    sulfate: Interval
    silica: Interval
    phosphate: Interval
    assumed: Mapping[tuple[str, str], Bools]


def water_analysis(readings: Readings, rows: npt.NDArray[np.intp]) -> WaterAnalysis:
    """Gather what the water chemistry needs of some samples.

    Parameters
    ----------
    readings : Readings
        All samples.
    rows : ndarray of int, shape (n,)
        Positions of the samples in question.

    Returns
    -------
    WaterAnalysis
        Of these samples, in their order.

    Notes
    -----
    Calcium and magnesium: as read, else their own hardness, else by difference from the total
    hardness, else from none to all of it. Alkalinity: as read, else bicarbonate and carbonate,
    else what the charge balance leaves. Other ions: from none to what the dissolved solids or
    the conductivity leave room for beside the lightest partner, or else to what tap water may
    hold (``limits/checks/water_analysis.yaml``). Nitrate and fluoride count with chloride by
    their charge: none of them pairs. Temperature absent: that of a tap, or of a laboratory where
    one is named or the method is a laboratory's.
    """
    return _Gathering(readings, rows).analysis()


class _Gathering:
    """One call's readings, and what was taken for granted so far."""

    def __init__(self, readings: Readings, rows: npt.NDArray[np.intp]) -> None:
        self.readings, self.rows = readings, rows
        self.assumed: dict[tuple[str, str], Bools] = {}
        material = readings.samples["material"].iloc[rows]
        self.water = (material == "water").to_numpy(dtype=np.bool_)

    def analysis(self) -> WaterAnalysis:
        """Gather all inputs."""
        solids, room = self.solids_and_room()
        ions = self.hardness_metals(room)
        for ion in ("sodium", "potassium", *ANIONS):
            ions[ion] = self.filled(
                ion,
                self.read(ion),
                (BY_SOLIDS, up_to(share_of_solids(ion) * room)),
                (BY_CEILING, self.constant(0.0, _setting(f"{ion}_ceiling"))),
            )
        others = [self.read(ion) for ion in OTHER_ANIONS]
        alkalinity = self.alkalinity(ions, others, room)
        silica = self.scaled("silicon", SILICA_MOLAR_MASS / SILICON_MOLAR_MASS)
        chloride = with_others(ions["chloride"], others)
        ends = {
            "ph": self.read("ph"),
            "temperature": self.temperature(),
            "alkalinity": alkalinity,
            **ions,
            "chloride": chloride,
            "silica": or_none(silica),
        }
        known = self.water & ~np.isnan(ends["ph"].lower)
        for metal in ("calcium", "magnesium"):
            if (metal, UNBOUNDED) in self.assumed:
                known &= ~self.assumed[metal, UNBOUNDED]
        return WaterAnalysis(
            lower={name: np.where(known, ends[name].lower, np.nan) for name in INPUTS},
            upper={name: np.where(known, ends[name].upper, np.nan) for name in INPUTS},
            dissolved_solids=filled_solids(solids, ends, silica, room),
            calcium_hardness=times(ions["calcium"], CACO3_PER_CALCIUM),
            total_hardness=first_known(
                self.read("total_hardness"),
                added(
                    times(ions["calcium"], CACO3_PER_CALCIUM),
                    times(ions["magnesium"], CACO3_PER_MAGNESIUM),
                ),
            ),
            alkalinity=alkalinity,
            chloride=self.read("chloride"),
            sulfate=self.read("sulfate"),
            silica=silica,
            phosphate=self.read("phosphate"),
            assumed={key: where for key, where in self.assumed.items() if where.any()},
        )

    def read(self, analyte: str) -> Interval:
        """Return an analyte as read, NaN where it was not or the sample is no water."""
        lower, upper = np.full((2, self.rows.size), np.nan)
        for place, column in enumerate(self.readings.columns):
            if column.analyte == analyte:
                missing = np.isnan(lower)
                lower[missing] = self.readings.lower[self.rows[missing], place]
                upper[missing] = self.readings.upper[self.rows[missing], place]
        return Interval(
            np.where(self.water, np.maximum(lower, 0.0), np.nan),
            np.where(self.water, np.maximum(upper, 0.0), np.nan),
        )

    def scaled(self, analyte: str, factor: float) -> Interval:
        """Return an analyte as read, times a factor."""
        return times(self.read(analyte), factor)

    def constant(self, lower: float, upper: float) -> Interval:
        """Return the same ends for every water."""
        return Interval(np.where(self.water, lower, np.nan), np.where(self.water, upper, np.nan))

    def filled(self, name: str, read: Interval, *ways: tuple[str, Interval]) -> Interval:
        """Fill what was not read by the first way that gives it, and note where and how."""
        lower, upper = read.lower.copy(), read.upper.copy()
        for how, other in ways:
            take = np.isnan(lower) & ~np.isnan(other.lower) & self.water
            if take.any():
                lower[take], upper[take] = other.lower[take], other.upper[take]
                self.assumed[name, how] = take
        return Interval(lower, upper)

    def solids_and_room(self) -> tuple[Interval, Floats]:
        """Return the dissolved solids as read, and the most there can be; NaN if not known.

        Where solids and conductivity contradict each other neither counts.
        """
        solids, conductivity = self.read("total_dissolved_solids"), self.read("conductivity")
        allowed = Interval(
            *dissolved_solids_from_conductivity(conductivity.lower, conductivity.upper)
        )
        slip = slipped(solids, allowed)
        if slip.any():
            self.assumed["dissolved solids", CONTRADICTED] = slip
        room = np.where(slip, np.nan, np.fmin(solids.upper, allowed.upper))
        read = Interval(*(np.where(slip, np.nan, end) for end in (solids.lower, solids.upper)))
        return read, room

    def hardness_metals(self, room: Floats) -> dict[str, Interval]:
        """Return calcium and magnesium."""
        total = self.read("total_hardness")
        factors = {"calcium": CACO3_PER_CALCIUM, "magnesium": CACO3_PER_MAGNESIUM}
        read = {}
        for metal, factor in factors.items():
            own = self.read(metal)
            by_hardness = self.scaled(f"{metal}_hardness", 1.0 / factor)
            read[metal] = first_known(own, by_hardness)
        answer = {}
        for metal, other in (("calcium", "magnesium"), ("magnesium", "calcium")):
            rest = Interval(
                np.maximum(total.lower - factors[other] * read[other].upper, 0.0),
                np.maximum(total.upper - factors[other] * read[other].lower, 0.0),
            )
            answer[metal] = self.filled(
                metal,
                read[metal],
                (BY_DIFFERENCE, times(rest, 1.0 / factors[metal])),
                (SHARE_OF_HARDNESS, up_to(total.upper / factors[metal])),
                (BY_SOLIDS, up_to(share_of_solids(metal) * room)),
                (UNBOUNDED, self.constant(0.0, np.inf)),
            )
        return answer

    def alkalinity(
        self, ions: Mapping[str, Interval], others: Sequence[Interval], room: Floats
    ) -> Interval:
        """Return the alkalinity [mg/L as CaCO3]."""
        carbonates = self.read("bicarbonate"), self.read("carbonate")
        per_ion = [
            ALKALINITY_EQUIVALENT * abs(IONS[name].charge) / IONS[name].molar_mass
            for name in ("bicarbonate", "carbonate")
        ]
        of_ions = Interval(
            *(
                per_ion[0] * bicarbonate + per_ion[1] * np.nan_to_num(carbonate)
                for bicarbonate, carbonate in (
                    (carbonates[0].lower, carbonates[1].lower),
                    (carbonates[0].upper, carbonates[1].upper),
                )
            )
        )
        by_charges = alkalinity_by_charges(ions, others)
        most = np.fmin(by_charges.upper, alkalinity_by_solids(ions, room))
        bounded = Interval(by_charges.lower, np.maximum(most, by_charges.lower))
        return self.filled(
            "alkalinity",
            self.read("total_alkalinity"),
            (OF_CARBONATES, of_ions),
            (BY_CHARGES, bounded),
        )

    def temperature(self) -> Interval:
        """Return the temperature of sampling [deg C]."""
        tap = self.constant(_setting("tap_temperature_lower"), _setting("tap_temperature_upper"))
        room = self.constant(
            _setting("laboratory_temperature_lower"), _setting("laboratory_temperature_upper")
        )
        at_laboratory = self.at_laboratory()
        return self.filled(
            "temperature",
            self.read("water_temperature"),
            (LABORATORY_TEMPERATURE, only_where(at_laboratory, room)),
            (TAP_TEMPERATURE, only_where(~at_laboratory, tap)),
        )

    def at_laboratory(self) -> Bools:
        """Return where the pH was read in a laboratory, as far as the file says."""
        place = self.readings.position("ph")
        if place is None:
            return np.zeros(self.rows.size, dtype=np.bool_)
        methods = [find_method(name, "water") for name in self.readings.method.names]
        of_laboratory = [each is not None and each.kind == "laboratory" for each in methods]
        known = np.array([*of_laboratory, False])
        named = self.readings.laboratory.codes[self.rows, place] >= 0
        return np.asarray(known[self.readings.method.codes[self.rows, place]] | named)


def slipped(solids: Interval, allowed: Interval) -> Bools:
    """Return where dissolved solids are off by ten from what the conductivity allows.

    Parameters
    ----------
    solids : Interval
        As read [mg/L].
    allowed : Interval
        By the conductivity [mg/L].

    Returns
    -------
    ndarray of bool
        Where the near ends are further apart than ``solids_slip`` times
        (``limits/checks/cross_checks.yaml``); False where either is unknown.

    Examples
    --------
    >>> read = Interval(np.array([520.0, 520.0]), np.array([520.0, 520.0]))
    >>> slipped(read, Interval(np.array([400.0, 40.0]), np.array([720.0, 72.0])))
    array([False,  True])
    """
    times = check_settings("cross_checks")["solids_slip"].value
    return np.asarray(
        (solids.lower > times * allowed.upper) | (times * solids.upper < allowed.lower)
    )


def _setting(name: str) -> float:
    return check_settings("water_analysis")[name].value
