"""What a result of a long table measures, by its name, unit, form and fraction."""

from dataclasses import dataclass, replace

from chemcheck.analytes import analyte, plain_name, to_canonical
from chemcheck.errors import UnitError, shorten
from chemcheck.intake.choices import Choices, Kit
from chemcheck.intake.headers import Header, read_header, suggest
from chemcheck.intake.second_header import says_nothing, with_unit
from chemcheck.intake.wqx_columns import meanings

_SETTLE = "say which in a columns file (--columns)"


@dataclass(frozen=True, slots=True)
class Named:
    """What one combination of name, unit, form and fraction measures.

    Parameters
    ----------
    header : Header or None
        As of a column of results; None where it is no result that is known here.
    problem : str
        Why it is none.
    method : str or None
        The method of its results, where a columns file says it.
    kit : Kit or None
        What a number of it is worth, where a columns file says it.
    zero : str or None
        What a 0 of it means, where a columns file says it.
    """

    header: Header | None
    problem: str = ""
    method: str | None = None
    kit: Kit | None = None
    zero: str | None = None


def read_named_result(name: str, unit: str, form: str, fraction: str, choices: Choices) -> Named:
    """Return what a result measures.

    Parameters
    ----------
    name, unit, form, fraction : str
        As in the row; empty where the table has no such column.
    choices : Choices
        What the user settled.

    Examples
    --------
    >>> found = read_named_result("Nitrate", "mg/L", "as N", "", Choices()).header
    >>> found.analyte, found.unit_text, found.form
    ('nitrate', 'mg/L', 'as N')
    >>> read_named_result("Smell of it", "", "", "", Choices()).problem
    "'Smell of it' is no analyte known here"
    """
    choice = choices.of_analyte(name)
    header = read_header(name)
    if choice is not None:
        header = choice.header(header)
        if choice.keep_as_text:
            return Named(None, "left out, as the columns file says")
    if header.analyte is None:
        near = suggest(header)
        meant = "" if near is None else f"; is it {near}?"
        said = f"{shorten(name)!r} is no analyte known here{meant}" if name else "no analyte named"
        return Named(None, said)
    if choice is None or choice.unit is None:
        header = _with_unit(header, unit)
    header = _with_form(header, form)
    header, problem = _with_fraction(header, fraction)
    if problem:
        return Named(None, problem)
    if choice is None:
        return Named(header)
    return Named(header, "", choice.method, choice.kit, choice.zero)


def _with_unit(header: Header, unit: str) -> Header:
    if says_nothing(unit) or plain_name(unit) in ("none", "units", "unit"):
        return header
    return with_unit(header, unit, "in its name", "in its unit column")


def _with_form(header: Header, form: str) -> Header:
    """Bring in the species that a column says the value is written as."""
    known = analyte(str(header.analyte))
    if says_nothing(form) or not (known.forms or known.formula):
        return header
    if header.form is not None and plain_name(header.form) != plain_name(form):
        same = plain_name(form).removeprefix("as") == plain_name(header.form)
        said = f"{header.form} in its name, {shorten(form, 30)} beside it: {_SETTLE}"
        return header if same else replace(header, problem=header.problem or said)
    try:
        to_canonical(known.key, "mg/L", form=form, density=1.0)
    except UnitError as error:
        return replace(header, problem=header.problem or str(error))
    return replace(header, form=form, choices=())


def _with_fraction(header: Header, fraction: str) -> tuple[Header, str]:
    """Bring in the fraction where dissolved and total are kept apart."""
    if says_nothing(fraction):
        return header, ""
    part = meanings("fractions").get(plain_name(fraction))
    if part is None:
        return header, f"{shorten(fraction)!r} is no sample fraction known here"
    if part == "part":
        return header, f"{shorten(fraction)!r} is only a part of the sample"
    if part not in (basis.key for basis in analyte(str(header.analyte)).bases):
        return header, ""
    if header.basis not in (None, part):
        said = f"{header.basis} in its name, {shorten(fraction, 30)} beside it: {_SETTLE}"
        return replace(header, problem=header.problem or said), ""
    return replace(header, basis=part), ""
