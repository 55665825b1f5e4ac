"""What the vocabulary knows of one analyte."""

from collections.abc import Mapping
from dataclasses import dataclass, field

MATERIALS = ("water", "coolant")


@dataclass(frozen=True, slots=True)
class Basis:
    """One way in which an analyte is measured that changes its number.

    Parameters
    ----------
    key : str
        ``neat``, ``diluted``, ``dissolved``, ``digested``, ...
    title : str
        The words a person reads.
    factor : float or None
        What a value on this basis is multiplied with to stand on the analyte's
        first basis; None where the two cannot be converted and are kept apart.
    """

    key: str
    title: str
    factor: float | None


@dataclass(frozen=True, slots=True)
class Analyte:
    """One quantity that a strip, a kit or a laboratory reports.

    Parameters
    ----------
    key : str
        The name used in files that chemcheck reads and writes.
    title : str
        The words a person reads.
    unit : str
        The canonical unit; readings are stored in it.
    dimension : str
        What the unit measures; the units with this dimension convert into it.
    aliases : tuple of str
        Other names for it in files, matched without case, spaces and punctuation.
    molar_mass : float or None
        Of the ion or substance the canonical unit names [g/mol].
    charge : int or None
        Of that ion; hardness and alkalinity as CaCO3 have none of their own.
    forms : mapping of str to float
        Species the value may be written as, with the factor to the canonical one:
        nitrate has ``{"N": 4.4266}``.
    bases : tuple of Basis
        The first is the usual one; empty where the analyte has only one.
    usual_unit : mapping of str to str
        By material, the unit of a header that states none.
    choices : tuple of str
        Where practice is split, the readings of a header that states none: such a
        column is set aside until the user says which.
    possible : tuple of float
        A value outside is a rejected cell [canonical unit].
    usual : mapping of str to tuple of float
        By material; a value outside is a question [canonical unit].
    words : tuple of tuple of str
        Ordered words with their synonyms, mildest first; the rank is stored.
    """

    key: str
    title: str
    unit: str
    dimension: str
    aliases: tuple[str, ...] = ()
    molar_mass: float | None = None
    charge: int | None = None
    forms: Mapping[str, float] = field(default_factory=dict)
    bases: tuple[Basis, ...] = ()
    usual_unit: Mapping[str, str] = field(default_factory=dict)
    choices: tuple[str, ...] = ()
    possible: tuple[float, float] = (0.0, float("inf"))
    usual: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    words: tuple[tuple[str, ...], ...] = ()
