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
    unit : str or None
        The unit in which readings on this basis are stored; None where it is the
        analyte's own.
    words : tuple of str
        Words that say the basis in a column's title or unit.
    """

    key: str
    title: str
    factor: float | None
    unit: str | None = None
    words: tuple[str, ...] = ()


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
        Of the ion or substance the canonical unit names [g/mol]; for hardness that of
        CaCO3, for alkalinity half of it (a mole of acid).
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
        column is set aside until the user says which. They count for a material
        without a usual unit.
    possible : tuple of float
        A value outside is a rejected cell [canonical unit].
    usual : mapping of str to tuple of float
        By material; a value outside is a question [canonical unit].
    words : tuple of tuple of str
        Ordered words with their synonyms, mildest first; the rank is stored.
    formula : str or None
        Of the ion or substance the canonical unit names.
    equivalents : int or None
        Equivalents a mole: the charge without its sign, for hardness 2, for alkalinity 1.
    form_words : mapping of str to str
        Words that say a form behind a name or unit, by their plain spelling.
    form_names : mapping of str to str
        Those of ``aliases`` that say the form as well, as ``silica`` says SiO2.
    split_names : mapping of str to tuple of str
        Those of ``aliases`` that leave the form open, as ``silicate`` does, with the
        forms in question: such a column is set aside until the user says which.
    unit_aliases : mapping of str to str
        Unit spellings that mean something for this analyte alone, by their plain
        spelling in lower case; ``ask`` where practice is split.
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
    formula: str | None = None
    equivalents: int | None = None
    form_words: Mapping[str, str] = field(default_factory=dict)
    form_names: Mapping[str, str] = field(default_factory=dict)
    split_names: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    unit_aliases: Mapping[str, str] = field(default_factory=dict)

    def basis(self, key: str | None) -> Basis | None:
        """Return the basis with a key; the first one for None; None if there are none.

        Raises
        ------
        KeyError
            Where the analyte has no such basis.
        """
        if key is None:
            return self.bases[0] if self.bases else None
        return {basis.key: basis for basis in self.bases}[key]
