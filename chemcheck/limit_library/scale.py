"""Numbers as a file writes them, turned into an analyte's canonical unit."""

from collections.abc import Mapping
from dataclasses import dataclass

from chemcheck.analytes import analyte as analyte_of
from chemcheck.analytes import find_analyte, nearest_analyte, to_canonical, vocabulary
from chemcheck.analytes.record import Analyte
from chemcheck.errors import UnitError, not_one_of, shorten
from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.provenance import Density
from chemcheck.units import LinearMap

UNIT_KEYS = ("unit", "form")
# What a number of these needs not state.
_UNDERSTOOD = ("pH", "1", "rank")
# Scales without a natural zero, on which half of a value means nothing.
_NO_RATIOS = ("pH", "temperature", "rank")


@dataclass(frozen=True, slots=True)
class Scale:
    """How the numbers at one place of a file become canonical.

    Parameters
    ----------
    analyte : Analyte
        What they measure.
    map : LinearMap
        To the analyte's canonical unit.
    density : Density or None
        What the map was made with, where it needed one.
    """

    analyte: Analyte
    map: LinearMap
    density: Density | None = None

    def value(self, node: Located) -> float:
        """Return the canonical value of a number, or the rank of an ordered word."""
        if self.analyte.words:
            return self._rank(node)
        value = float(self.map(node.number()))
        low, high = self.analyte.possible
        if not low <= value <= high:
            problem = (
                f"{value:g} {self.analyte.unit} is no possible {self.analyte.title}; "
                f"expected {low:g} to {high:g}"
            )
            node.refuse(problem)
        return value

    def size(self, node: Located) -> float:
        """Return the canonical size of a difference, such as an uncertainty."""
        return abs(self.map.factor) * node.number()

    def source(self, source: str) -> str:
        """Return a number's source, with the density named where it was used."""
        return source if self.density is None else f"{source}; {self.density.words}"

    def _rank(self, node: Located) -> float:
        text = node.text()
        for rank, words in enumerate(self.analyte.words):
            if text in words:
                return float(rank)
        known = [words[0] for words in self.analyte.words]
        raise node.error(not_one_of(text, known, f"word for {self.analyte.title}"))


def read_scale(
    analyte: Analyte,
    fields: Mapping[str, Located],
    density: Density | None,
    at: Located,
    basis: str | None = None,
) -> Scale:
    """Return how the numbers at one place become canonical.

    Parameters
    ----------
    analyte : Analyte
        What they measure.
    fields : mapping of str to Located
        Where ``unit`` and ``form`` may stand.
    density : Density or None
        As stated nearest.
    at : Located
        The place, for errors.
    basis : str or None
        The key of the basis the numbers are on; one that converts is converted.

    Raises
    ------
    LimitFileError
        Where the unit is missing, unknown or measures something else, or needs a density
        that nobody stated.
    """
    if "unit" not in fields:
        if analyte.unit in _UNDERSTOOD:
            return Scale(analyte, LinearMap(1.0))
        at.refuse(f"has no unit; add `unit:`, such as {analyte.unit}")
    unit = fields["unit"].text()
    form = fields["form"].text() if "form" in fields else None
    try:
        return Scale(analyte, to_canonical(analyte.key, unit, form=form, basis=basis))
    except UnitError as error:
        if density is None:
            raise fields["unit"].error(str(error)) from None
    try:
        heavy = to_canonical(analyte.key, unit, form=form, basis=basis, density=density.value)
    except UnitError as error:
        raise fields["unit"].error(str(error)) from None
    return Scale(analyte, heavy, density)


def read_analyte(key: str, at: Located) -> Analyte:
    """Return an analyte by its key."""
    if key in vocabulary():
        return analyte_of(key)
    near = find_analyte(key) or nearest_analyte(key)
    if near is None:
        raise at.error(not_one_of(key, vocabulary(), "analyte"))
    problem = f"{shorten(key)!r} is no analyte known here; nearest: {near}"
    raise at.error(problem)


def read_fraction(analyte: Analyte, node: Located) -> float:
    """Return a fraction of the fresh fill, where a fraction means something."""
    if analyte.dimension in _NO_RATIOS:
        node.refuse(f"a fraction of the fresh fill means nothing for {analyte.title}")
    value = node.number()
    if not 0 < value <= 10:
        node.refuse(f"{value:g} is no fraction of the fresh fill; write 0.5 for 50 %")
    return value
