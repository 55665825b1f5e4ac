"""Linear maps between units, with density, molar mass and charge where they are needed."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from chemcheck.errors import UnitError
from chemcheck.units.parse import parse_unit
from chemcheck.units.unit_file import Unit

# One mg/L as CaCO3 in meq/L: two equivalents a mole of 100.086 g (IUPAC abridged
# atomic weights 2021: Ca 40.078, C 12.011, O 15.999).
MEQ_PER_MG_CACO3 = 2 / 100.086


@dataclass(frozen=True, slots=True)
class LinearMap:
    """A change of unit: ``value * factor + offset``.

    Parameters
    ----------
    factor, offset : float
        The two numbers.

    Examples
    --------
    >>> to_celsius = linear_map("deg F", "deg C")
    >>> round(to_celsius(-34.0), 2)
    -36.67
    >>> round(to_celsius.inverse()(100.0), 6)
    212.0

    A thousandth is a division by 1000, so that 45349 ug/L are 45.349 mg/L to the last digit:

    >>> 45349 * 0.001, linear_map("ug/L", "mg/L")(45349)
    (45.349000000000004, 45.349)
    """

    factor: float
    offset: float = 0.0

    def __call__(self, value: Any) -> Any:
        """Apply the map to a number, or to a whole array or column."""
        divisor = self.divisor
        if divisor is not None:
            return value / divisor + self.offset
        return value * self.factor + self.offset

    @property
    def divisor(self) -> float | None:
        """The whole number that a value is divided by where the factor is one over it."""
        if not 0 < self.factor < 1:
            return None
        whole = float(round(1 / self.factor))
        return whole if 1 / whole == self.factor else None

    def inverse(self) -> "LinearMap":
        """Return the way back."""
        return LinearMap(1 / self.factor, -self.offset / self.factor)

    def then(self, later: "LinearMap") -> "LinearMap":
        """Return this map followed by another."""
        return LinearMap(self.factor * later.factor, self.offset * later.factor + later.offset)


@dataclass(frozen=True, slots=True)
class _Substance:
    """What ties amounts of one substance together."""

    molar_mass: float | None
    charge: int | None
    density: float | None

    def mass(self) -> float:
        if self.molar_mass is None:
            problem = "an amount of substance converts to a mass only with a molar mass"
            raise UnitError(problem)
        return self.molar_mass

    def equivalent(self) -> float:
        if not self.charge:
            problem = "equivalents convert only where the charge of the ion is known"
            raise UnitError(problem)
        return self.mass() / abs(self.charge)

    def weight(self) -> float:
        if self.density is None:
            problem = "a share by mass, and ppm, convert to mg/L only with a density"
            raise UnitError(problem)
        return self.density


# What one of a dimension's base unit is in meq/L, whatever the substance: 1 mL of 0.1 N acid,
# or of another titrant, for 10 mL of sample is 10 meq/L.
_IN_MEQ_PER_LITRE = {
    "equivalent concentration": 1.0,
    "as calcium carbonate": MEQ_PER_MG_CACO3,
    "hardness degree": MEQ_PER_MG_CACO3,
    "reserve alkalinity": 10.0,
    "titrant volume": 10.0,
}

# What one of a dimension's base unit is in mg/L of the substance.
_IN_MG_PER_LITRE: dict[str, Callable[[_Substance], float]] = {
    "mass concentration": lambda substance: 1.0,
    "amount concentration": lambda substance: substance.mass(),
    "equivalent concentration": lambda substance: substance.equivalent(),
    "titrant volume": lambda substance: 10.0 * substance.equivalent(),
    "as calcium carbonate": lambda substance: substance.equivalent() * MEQ_PER_MG_CACO3,
    "hardness degree": lambda substance: substance.equivalent() * MEQ_PER_MG_CACO3,
    "mass fraction": lambda substance: substance.weight(),
    "ppm": lambda substance: substance.weight(),
    "amount per mass": lambda substance: substance.weight() * substance.mass(),
    "equivalent per mass": lambda substance: substance.weight() * substance.equivalent(),
}


def linear_map(
    from_unit: Unit | str,
    to_unit: Unit | str,
    *,
    molar_mass: float | None = None,
    charge: int | None = None,
    density: float | None = None,
) -> LinearMap:
    """Return the map from one unit to another.

    Parameters
    ----------
    from_unit, to_unit : Unit or str
        The two units.
    molar_mass : float, optional
        Of the substance [g/mol]; needed between masses and amounts.
    charge : int, optional
        Equivalents a mole, the sign does not count; needed for equivalents and for
        concentrations as CaCO3.
    density : float, optional
        Of the sample [kg/L]; needed between shares by mass and concentrations. ``ppm``
        is read as mg/kg of this density: 1.0 reads it as mg/L.

    Returns
    -------
    LinearMap
        Applies to a number or a whole array.

    Raises
    ------
    UnitError
        Where the two do not measure the same, or what ties them is missing.

    Examples
    --------
    >>> round(linear_map("mmol/L", "mg/L", molar_mass=40.078)(2.0), 3)
    80.156
    >>> linear_map("mg/kg", "mg/L", density=1.07)(100.0)
    107.0
    >>> linear_map("L", "mg/L")
    Traceback (most recent call last):
        ...
    chemcheck.errors.UnitError: L measures a volume, mg/L a mass concentration: neither converts ...
    """
    source = parse_unit(from_unit) if isinstance(from_unit, str) else from_unit
    target = parse_unit(to_unit) if isinstance(to_unit, str) else to_unit
    bridge = _bridge(source, target, _Substance(molar_mass, charge, density))
    factor = source.factor * bridge / target.factor
    return LinearMap(factor, (source.offset * bridge - target.offset) / target.factor)


def _bridge(source: Unit, target: Unit, substance: _Substance) -> float:
    """Return what one base unit of the source's dimension is in the target's."""
    if source.dimension == target.dimension:
        return 1.0
    if source.dimension in _IN_MEQ_PER_LITRE and target.dimension in _IN_MEQ_PER_LITRE:
        return _IN_MEQ_PER_LITRE[source.dimension] / _IN_MEQ_PER_LITRE[target.dimension]
    if source.dimension in _IN_MG_PER_LITRE and target.dimension in _IN_MG_PER_LITRE:
        upper = _IN_MG_PER_LITRE[source.dimension](substance)
        return upper / _IN_MG_PER_LITRE[target.dimension](substance)
    problem = (
        f"{source.symbol} measures {_a(source.dimension)}, {target.symbol} "
        f"{_a(target.dimension)}: neither converts to the other"
    )
    raise UnitError(problem)


def _a(dimension: str) -> str:
    return f"{'an' if dimension[0] in 'aeiou' else 'a'} {dimension}"


def convert(
    value: Any,
    from_unit: Unit | str,
    to_unit: Unit | str,
    *,
    molar_mass: float | None = None,
    charge: int | None = None,
    density: float | None = None,
) -> Any:
    """Convert a number, or a whole array or column, from one unit to another.

    Parameters
    ----------
    value : float or array
        In ``from_unit``.
    from_unit, to_unit, molar_mass, charge, density
        As for :func:`linear_map`.

    Returns
    -------
    float or array
        In ``to_unit``.

    Raises
    ------
    UnitError
        As for :func:`linear_map`.

    Examples
    --------
    >>> round(convert(15, "psi", "kPa"), 2)
    103.42
    >>> round(convert(10, "dH", "mmol/L", molar_mass=100.086, charge=2), 4)
    1.7833
    """
    to = linear_map(from_unit, to_unit, molar_mass=molar_mass, charge=charge, density=density)
    return to(value)
