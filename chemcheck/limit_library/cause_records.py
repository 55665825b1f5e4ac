"""What a fault signature says, once its file is read and found valid."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from chemcheck.limit_library.records import Evidence

# What a feature looks at:
# - rise: an amount above, or below, its reference [canonical unit]
# - factor: a quotient with its reference [natural logarithm]
# - level: the reading itself [canonical unit]; of ordered words their rank
# - ratio: the quotient of two rises [1]
Look = Literal["rise", "factor", "level", "ratio"]
# What a rise or factor is held against; of tap water a level is its own, and a ratio that of it.
Against = Literal["reference", "previous", "tap water"]
TAP_WATER: Against = "tap water"

# Quantities that are worked out of several readings of a sample, with title and unit.
DERIVED: Mapping[str, tuple[str, str]] = {
    "common_factor": ("common factor of the species that only water moves", ""),
    "glycol_apart": ("glycol against the other species that only water moves", ""),
    "freezing_point_gap": ("freezing point against that of the glycol read", "deg C"),
    "renewed": ("evidence that the fill was renewed since the sample before", "powers of ten"),
    "part_foreign": ("evidence for a part of another technology's coolant", "powers of ten"),
    "wholly_foreign": ("evidence for another technology's coolant alone", "powers of ten"),
    "cap_share": ("pressure at which the cap opens, of that stamped on it", ""),
    "nitrite_and_molybdate": ("nitrite and molybdate together", "mg/L"),
}
# The most that one reading may say, and what is worked out of several [log10]: one result in
# a hundred is wrong or moved for a reason of its own (memory).
MOST_WEIGHT, MOST_OF_SEVERAL = 2.0, 16.0


@dataclass(frozen=True, slots=True)
class Feature:
    """One thing that a cause does, or does not do, to a coolant.

    Parameters
    ----------
    of : str
        An analyte, or a key of ``DERIVED``.
    look : {"rise", "factor", "level", "ratio"}
        What is looked at.
    up : bool
        Whether a greater number speaks for the cause.
    knots : tuple of float
        Where it speaks against in full, where it turns from against to for, and where it
        speaks for in full, each on the scale of ``look``, a fall counted as positive.
    band : tuple of float or None
        Of a ratio: the range that speaks for the cause; None where that is the tap water's own.
    to : str or None
        Of a ratio: the analyte below the line.
    weight, against : float
        The most that it can say for the cause, and against it [log10 of a likelihood ratio].
    key : bool
        Whether the cause is thought of at all only where this, or another key, speaks for it.
    held_against : {"reference", "previous", "tap water"}
        What a rise or factor is held against. A level of the tap water is its own reading, a
        ratio held against it is expected to be its own.
    once : str
        Features of a cause with the same word here see the same thing: of them the one that
        says most counts.
    technologies : frozenset of str
        Where not empty, it is looked at in these only.
    quoted : tuple of float
        The range of the file [canonical unit, factor or ratio].
    """

    of: str
    look: Look
    up: bool
    knots: tuple[float, float, float]
    band: tuple[float, float] | None
    to: str | None
    weight: float
    against: float
    key: bool
    held_against: Against
    once: str
    technologies: frozenset[str]
    quoted: tuple[float, float]

    @property
    def of_tap_water(self) -> bool:
        """Whether it needs a reading of the tap water."""
        return self.held_against == TAP_WATER

    @property
    def steady(self) -> bool:
        """Whether it speaks for the cause that a reading did not rise."""
        return self.look == "rise" and self.knots[0] < 0


@dataclass(frozen=True, slots=True)
class Signature:
    """A cause: what it does, what else looks like it, what proves it and what to do.

    Parameters
    ----------
    key, title : str
        As in the file.
    features : tuple of Feature
        What speaks for and against it.
    technologies, glycols : frozenset of str
        Where not empty, it happens only in these; an unknown glycol may be any.
    accounts_for : frozenset of str
        What it accounts for whichever way it moved, analytes and keys of ``DERIVED``: beside
        it they speak for no other cause.
    speaks_against : tuple of str
        What else speaks against it, in sentences.
    looks_like : tuple of str
        What else looks like it.
    confirm_by : str
        The test that proves or rules it out.
    remedy : str
        What to do.
    cautions : tuple of str
        Keys of cautions.
    source : str
        Who says so.
    evidence : {"published", "library", "common practice", "memory"}
        How well it is known.
    """

    key: str
    title: str
    features: tuple[Feature, ...]
    technologies: frozenset[str]
    glycols: frozenset[str]
    accounts_for: frozenset[str]
    speaks_against: tuple[str, ...]
    looks_like: tuple[str, ...]
    confirm_by: str
    remedy: str
    cautions: tuple[str, ...]
    source: str
    evidence: Evidence
