"""Concentrations of analytes as a person writes them."""

from chemcheck.analytes import analyte as analyte_of
from chemcheck.analytes import find_analyte, to_canonical, vocabulary
from chemcheck.errors import QuantityError, UnitError, not_one_of
from chemcheck.remedies.estimate import Estimate, between
from chemcheck.remedies.quantity_text import Written


def read_level(text: str, name: str, analyte: str) -> Estimate:
    """Read a concentration of an analyte.

    Parameters
    ----------
    text, name : str
        As for `read_amount`.
    analyte : str
        A key of the vocabulary.

    Returns
    -------
    Estimate
        [the analyte's canonical unit].

    Raises
    ------
    QuantityError
        As for `read_amount`.

    Examples
    --------
    >>> float(read_level("60 g/L", "--strength", "nitrite").value)
    60000.0
    """
    written = Written(text, name, f"600 {analyte_of(analyte).unit}")
    cell = written.cell()
    if cell.unit is None:
        problem = f" states no unit: write it behind, as in {written.example!r}"
        raise written.error(problem)
    try:
        to_stored = to_canonical(analyte, cell.unit)
    except UnitError as error:
        problem = f": {error}"
        raise written.error(problem) from None
    return between(to_stored(cell.lower), to_stored(cell.upper))


def read_named_level(text: str, name: str) -> tuple[str, Estimate]:
    """Read what is measured and how much: ``hardness=310 mg/L``.

    Parameters
    ----------
    text, name : str
        As for `read_amount`.

    Returns
    -------
    analyte : str
        A key of the vocabulary.
    level : Estimate
        [its canonical unit].

    Raises
    ------
    QuantityError
        As for `read_amount`, and for an unknown name.

    Examples
    --------
    >>> analyte, level = read_named_level("hardness=10 dH", "--tap")
    >>> analyte, round(float(level.value), 1)
    ('total_hardness', 178.5)
    """
    title, mark, amount = text.partition("=")
    if not mark:
        problem = ": expected name and value, as in 'hardness=310 mg/L'"
        raise Written(text, name, "").error(problem)
    return find_component(title, name), read_level(amount, name, find_component(title, name))


def find_component(title: str, name: str) -> str:
    """Return the analyte that a title names.

    Parameters
    ----------
    title : str
        As a column's title would say it.
    name : str
        What it is called in an error.

    Raises
    ------
    QuantityError
        If it names none; with the nearest.

    Examples
    --------
    >>> find_component("NO2", "--component")
    'nitrite'
    """
    key = find_analyte(title.strip())
    if key is None:
        message = f"{name}: {not_one_of(title.strip(), vocabulary(), 'analyte')}"
        raise QuantityError(message)
    return key
