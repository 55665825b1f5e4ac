"""What a limit set says, once its file is read and found valid.

Every bound is held in the analyte's canonical unit beside its source and evidence.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

Side = Literal["lower", "upper"]
Kind = Literal["action", "warning"]
Evidence = Literal["published", "library", "common practice", "memory"]
EVIDENCE: tuple[Evidence, ...] = ("published", "library", "common practice", "memory")


@dataclass(frozen=True, slots=True)
class Bound:
    """One number that a reading is held against.

    Parameters
    ----------
    side : {"lower", "upper"}
        A lower bound is broken by a reading below it.
    kind : {"action", "warning"}
        Only a broken action bound makes a sample unfit.
    value : float
        The bound [the analyte's canonical unit], or the fraction of the fresh fill.
    of_fresh : bool
        Whether ``value`` is a fraction of the fresh fill's reading.
    quoted : tuple of float or None
        The range a source quotes; ``value`` is its stricter end.
    consequence : str
        What happens beyond the bound, in one sentence.
    source : str
        Standard, section, edition; or who says so.
    evidence : {"published", "library", "common practice", "memory"}
        How well the number is known.
    spread : tuple of float or None
        The least and the greatest value seen across sources [as ``value``]; shown, not
        used.
    """

    side: Side
    kind: Kind
    value: float
    of_fresh: bool
    quoted: tuple[float, float] | None
    consequence: str
    source: str
    evidence: Evidence
    spread: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Condition:
    """When a limit or rule does not decide, by another reading of the same sample.

    Parameters
    ----------
    analyte : str
        The other reading.
    below, above : float or None
        The condition holds where the other reading is below, or above, this
        [canonical unit]; a missing reading does not fulfil it, but leaves open whether a
        limit is undecided, unless other readings say that it cannot hold.
    then : {"not judged", "undecided"}
        The state of the limit where the condition holds.
    source : str
        Who says so.
    evidence : {"published", "library", "common practice", "memory"}
        How well it is known.
    """

    analyte: str
    below: float | None
    above: float | None
    then: Literal["not judged", "undecided"]
    source: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class AnalyteLimit:
    """All bounds of one analyte in a set.

    Parameters
    ----------
    analyte : str
        A key of the vocabulary.
    basis : str or None
        The basis the bounds hold for; None where the analyte has only one.
    bounds : tuple of Bound
        At most one of each side and kind.
    conditions : tuple of Condition
        The first that holds counts.
    technologies, glycols : frozenset of str
        What these bounds apply to within the set; empty where they apply to all. A
        sample of another, or of an unknown, technology or glycol is not judged by them.
    """

    analyte: str
    basis: str | None
    bounds: tuple[Bound, ...]
    conditions: tuple[Condition, ...] = ()
    technologies: frozenset[str] = frozenset()
    glycols: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Comparison:
    """One comparison inside a rule.

    Parameters
    ----------
    kind : {"sum", "ratio"}
        A sum of one analyte is the analyte itself; a ratio has two terms.
    terms : tuple of (str, float)
        Analyte and the factor it is multiplied with (the canonical unit's value).
    side : {"lower", "upper"}
        As for a bound.
    value : float
        The bound [``unit``].
    unit : str
        The unit of the terms once multiplied, as the source writes it; empty for a ratio.
    """

    kind: Literal["sum", "ratio"]
    terms: tuple[tuple[str, float], ...]
    side: Side
    value: float
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Combination:
    """Comparisons of which one must hold, or all.

    Parameters
    ----------
    kind : {"any_of", "all_of"}
        How the parts combine.
    parts : tuple of Comparison or Combination
        What is combined.
    """

    kind: Literal["any_of", "all_of"]
    parts: tuple["Comparison | Combination", ...]


@dataclass(frozen=True, slots=True)
class Rule:
    """A requirement on several readings at once.

    Parameters
    ----------
    id : str
        Lower snake_case, unique in the set; stands where an analyte's key stands in results.
    title : str
        The words a person reads.
    kind : {"action", "warning"}
        Only a broken action rule makes a sample unfit.
    requirement : Comparison or Combination
        What must hold.
    conditions : tuple of Condition
        The first that holds counts.
    consequence, source : str
        As for a bound.
    evidence : {"published", "library", "common practice", "memory"}
        How well the rule is known.
    technologies, glycols : frozenset of str
        As for the limits of an analyte.
    """

    id: str
    title: str
    kind: Kind
    requirement: Comparison | Combination
    conditions: tuple[Condition, ...]
    consequence: str
    source: str
    evidence: Evidence
    technologies: frozenset[str] = frozenset()
    glycols: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class LimitSet:
    """A named, versioned, sourced set of bounds.

    Parameters
    ----------
    id, version, title : str
        As in the file.
    material : {"water", "coolant"}
        What it judges.
    technologies, glycols : frozenset of str
        What it applies to; empty where it applies to all.
    use : str
        ``fill water``, ``purified water``, ``new coolant``, ``coolant in service``,
        ``degradation``, ``inspection``, ``closed loop water``, ``water context``: what
        kind of question it answers.
    essential : tuple of str
        Analytes without which a sample cannot be fit.
    limits : tuple of AnalyteLimit
        At most one an analyte and basis.
    rules : tuple of Rule
        Requirements on several readings.
    cautions : tuple of str
        Keys of the cautions to show with its verdicts.
    note : str
        What a reader should know before using it.
    sha256 : str
        Of the file's bytes (with those of the sets it extends).
    path : Path
        The file.
    partial : str
        What the set cannot decide, in one sentence, where it leaves out what protection
        hangs on: a sample can be unfit by it, never fit. Empty where it is whole.
    """

    id: str
    version: str
    title: str
    material: Literal["water", "coolant"]
    technologies: frozenset[str]
    glycols: frozenset[str]
    use: str
    essential: tuple[str, ...]
    limits: tuple[AnalyteLimit, ...]
    rules: tuple[Rule, ...]
    cautions: tuple[str, ...]
    note: str
    sha256: str
    path: Path
    partial: str = ""


@dataclass(frozen=True, slots=True)
class MethodPrecision:
    """Uncertainty of one analyte by one method.

    Parameters
    ----------
    absolute : float
        Standard uncertainty that does not depend on the value [canonical unit].
    relative : float
        Standard uncertainty as a fraction of the value; the two add in quadrature.
    detection_limit : float or None
        What a non-detect without a stated limit lies below [canonical unit].
    source : str
        Who says so.
    evidence : {"published", "library", "common practice", "memory"}
        How well it is known.
    """

    absolute: float
    relative: float
    detection_limit: float | None
    source: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class DropWorth:
    """What one drop of a kit's titrant stands for.

    Parameters
    ----------
    least, greatest : float
        Between these, where kits differ [canonical unit].
    source : str
        Who says so.
    evidence : {"published", "library", "common practice", "memory"}
        How well it is known.
    """

    least: float
    greatest: float
    source: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Method:
    """A way of measuring.

    Parameters
    ----------
    id, title : str
        As in the file.
    kind : {"laboratory", "meter", "strip", "kit", "inspection"}
        A strip's readings are steps.
    precision : mapping of str to MethodPrecision
        By analyte key, and ``default`` for all others; a strip's own steps are its
        uncertainty.
    steps : mapping of str to tuple of float
        By analyte key, the pads of a strip, ascending [canonical unit].
    doubling : frozenset of str
        Analytes whose steps double: the midpoint between two is geometric.
    aliases : tuple of str
        Other names for it in a method column.
    material : {"water", "coolant"} or None
        What it measures; None where it serves both.
    source : str
        Who says so of the steps.
    evidence : {"published", "library", "common practice", "memory"}
        How well the steps are known.
    drop_worths : mapping of str to DropWorth
        By analyte key, what a counted drop of a kit is worth.
    """

    id: str
    title: str
    kind: Literal["laboratory", "meter", "strip", "kit", "inspection"]
    precision: Mapping[str, MethodPrecision]
    steps: Mapping[str, tuple[float, ...]]
    doubling: frozenset[str]
    aliases: tuple[str, ...]
    material: Literal["water", "coolant"] | None = None
    source: str = ""
    evidence: Evidence = "memory"
    drop_worths: Mapping[str, DropWorth] = field(default_factory=dict)
