"""The vocabulary for a person: names, units, and what a title that says less is taken for."""

import math
from collections.abc import Sequence

from chemcheck.analytes import to_canonical
from chemcheck.analytes.record import MATERIALS, Analyte
from chemcheck.errors import UnitError
from chemcheck.reports.numbers import interval, number
from chemcheck.reports.text_layout import bullets, heading, paragraph, table
from chemcheck.units import unit_symbols

FIRST_LINE = (
    "No limit set is in use: this is the vocabulary. A column's title is matched with these "
    "names without case, spaces, accents and punctuation; never by guess."
)


def write_analytes(analytes: Sequence[Analyte]) -> str:
    """Return the vocabulary as a table.

    Parameters
    ----------
    analytes : sequence of Analyte
        What to list.

    Returns
    -------
    str
        Lines of at most 80 columns: key, unit, other names.

    Examples
    --------
    >>> from chemcheck.analytes import analyte
    >>> print(write_analytes([analyte("tin")]).splitlines()[-1])
    tin      mg/L  zinn, étain, estaño, Sn, tin
    """
    rows = [(one.key, one.unit, ", ".join(one.aliases)) for one in analytes]
    listed = table(["analyte", "unit", "also read as"], rows)
    return f"{paragraph(FIRST_LINE)}\n\n{listed}\n"


def write_analyte(analyte: Analyte) -> str:
    r"""Return all that is known of one analyte.

    Parameters
    ----------
    analyte : Analyte
        Which.

    Returns
    -------
    str
        Lines of at most 80 columns.

    Examples
    --------
    >>> from chemcheck.analytes import analyte
    >>> print(write_analyte(analyte("silicon")).split("\n\n")[2])
    written as    times
    ----------  -------
    Si                1
    SiO2        0.46744
    SiO3        0.36914
    Na2SiO3     0.23009
    """
    told = [*_stored(analyte), *_said_by_material(analyte), *_left_open(analyte)]
    parts = [heading(f"{analyte.title} ({analyte.key})"), bullets(told)]
    if analyte.forms:
        rows = [(form, number(factor, 5)) for form, factor in analyte.forms.items()]
        parts.append(table(["written as", "times"], rows, numeric=[1]))
    if analyte.bases:
        bases = [
            (basis.key, basis.title, "apart" if basis.factor is None else number(basis.factor, 5))
            for basis in analyte.bases
        ]
        parts.append(table(["basis", "meaning", "times"], bases, numeric=[2]))
    if analyte.words:
        ranks = [(str(rank), ", ".join(words)) for rank, words in enumerate(analyte.words)]
        parts.append(table(["rank", "words, mildest first"], ranks, numeric=[0]))
    parts.append(paragraph(f"Also read as: {', '.join(analyte.aliases)}."))
    return "\n\n".join(parts) + "\n"


def _stored(analyte: Analyte) -> list[str]:
    if analyte.words:
        return ["Stored as the rank of a word; a number or another word is set aside."]
    units = [symbol for symbol in unit_symbols() if _converts(analyte, symbol)]
    low, high = analyte.possible
    possible = f"at least {number(low)}" if math.isinf(high) else interval(low, high)
    return [
        f"Stored in {analyte.unit}. Read in: {', '.join(units)}.",
        f"Possible: {possible} {analyte.unit}; any other cell is set aside.",
    ]


def _converts(analyte: Analyte, symbol: str) -> bool:
    try:
        to_canonical(analyte.key, symbol, density=1.0)
    except UnitError:
        return False
    return True


def _left_open(analyte: Analyte) -> list[str]:
    told = []
    if analyte.choices:
        without = [material for material in MATERIALS if material not in analyte.usual_unit]
        where = "" if len(without) == len(MATERIALS) else f" in {' and '.join(without)}"
        told.append(
            f"A title without a unit leaves open{where} which is meant, and the column is set "
            f"aside until it says one: {', '.join(analyte.choices)}."
        )
    names_by_forms: dict[tuple[str, ...], list[str]] = {}
    for name, forms in analyte.split_names.items():
        names_by_forms.setdefault(forms, []).append(name)
    for forms, names in names_by_forms.items():
        told.append(
            f"A title such as {', '.join(names)} leaves open which is meant, and the column is "
            f"set aside until it says one: {', '.join(forms)}."
        )
    return told


def _said_by_material(analyte: Analyte) -> list[str]:
    if analyte.words:
        return []
    told = [
        f"In {material} a title without a unit is taken as {unit}."
        for material, unit in analyte.usual_unit.items()
    ]
    for material, (low, high) in analyte.usual.items():
        told.append(
            f"Usual in {material}: {interval(low, high)} {analyte.unit}; another value is asked "
            "about, and judged."
        )
    return told
