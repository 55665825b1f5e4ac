"""What a columns file says of one column, or of one analyte of a long table."""

import re
from collections.abc import Mapping

from chemcheck.analytes import read_name, stored_basis, to_canonical, vocabulary
from chemcheck.errors import UnitError, not_one_of
from chemcheck.intake.choices import LONG_ROLES, ZEROS, ColumnChoice
from chemcheck.intake.kit_entries import KIT_KEYS, read_kit
from chemcheck.intake.kits import counts_drops
from chemcheck.intake.sample_facts import fact_names
from chemcheck.intake.word_lists import word_list
from chemcheck.limit_library import find_method, methods
from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.sample_validity import FACT_UNITS
from chemcheck.units import linear_map

TEXT = "text"
_ANALYTE_KEYS = ("analyte", "unit", "form", "basis", "method", "zero", *KIT_KEYS)
_COLUMN_KEYS = (*_ANALYTE_KEYS, "fact", "flag", "limit")


def read_column(title: str, node: Located) -> ColumnChoice:
    """Read what is said of a column, in one word or key by key.

    Parameters
    ----------
    title : str
        The column.
    node : Located
        ``chloride``, ``sampling_point``, ``text`` or ``{analyte: chloride, unit: mg/L}``.

    Raises
    ------
    LimitFileError
        Where something is wrong.
    """
    facts = [*word_list("sample_columns")["roles"], *fact_names(), *LONG_ROLES]
    if isinstance(node.content, str):
        return _in_one_word(title, node, facts)
    fields = node.fields(_COLUMN_KEYS)
    if ("analyte" in fields) == ("fact" in fields):
        node.refuse("expected one of the keys 'analyte' and 'fact'")
    if "fact" not in fields:
        return _analyte(title, node, fields)
    role = fields["fact"].one_of(facts, "fact of a sample")
    if "unit" in fields:
        _check_unit_of_fact(role, fields["unit"])
    return ColumnChoice(title, node.line, role=role, unit=_text(fields, "unit"))


def read_named(name: str, node: Located) -> ColumnChoice:
    """Read what is said of an analyte that a long table names.

    Parameters
    ----------
    name : str
        As the table has it.
    node : Located
        ``chloride``, ``text`` (it is left out) or ``{analyte: chloride, unit: mg/L}``.

    Raises
    ------
    LimitFileError
        Where something is wrong.
    """
    if isinstance(node.content, str):
        return _in_one_word(name, node, [])
    return _analyte(name, node, node.fields(_ANALYTE_KEYS, ("analyte",)))


def read_method(node: Located) -> str:
    """Read the name of a method that the library knows."""
    text = node.text()
    if not any(find_method(text, material) for material in ("water", "coolant")):
        raise node.error(not_one_of(text, methods(), "method"))
    return text


def _in_one_word(title: str, node: Located, facts: list[str]) -> ColumnChoice:
    text = node.text()
    if text == TEXT:
        return ColumnChoice(title, node.line, keep_as_text=True)
    if text in facts:
        return ColumnChoice(title, node.line, role=text)
    known = read_name(text)
    if known is None:
        options = [*vocabulary(), *facts, TEXT]
        what = "analyte or fact of a sample" if facts else "analyte"
        raise node.error(not_one_of(text, options, what))
    return ColumnChoice(title, node.line, known.analyte, form=known.form, basis=known.basis)


def _analyte(title: str, node: Located, fields: Mapping[str, Located]) -> ColumnChoice:
    name = fields["analyte"].text()
    known = read_name(name)
    if known is None:
        raise fields["analyte"].error(not_one_of(name, vocabulary(), "analyte"))
    form, basis = _text(fields, "form") or known.form, _text(fields, "basis") or known.basis
    kit = read_kit(known.analyte, node, fields, form)
    unit = _text(fields, "unit")
    if kit is not None and (unit is None or re.fullmatch("(?i)ml", unit)):
        unit = kit.titration or ("drops" if kit.drop is not None else unit)
    _check_unit(known.analyte, node, unit, form, basis)
    return ColumnChoice(
        title,
        node.line,
        known.analyte,
        unit=unit,
        form=form,
        basis=basis,
        method=read_method(fields["method"]) if "method" in fields else None,
        flag=_text(fields, "flag"),
        limit=_text(fields, "limit"),
        kit=kit,
        zero=fields["zero"].one_of(ZEROS, "meaning of a zero") if "zero" in fields else None,
    )


def _check_unit_of_fact(role: str, node: Located) -> None:
    """Refuse a unit of what has none, or of another dimension than what it measures."""
    usual = word_list("sample_columns")["usual_units"] | FACT_UNITS
    if usual.get(role) is None:
        node.refuse(f"{role} is no number and has no unit")
    try:
        linear_map(node.text(), usual[role])
    except UnitError as error:
        raise node.error(str(error)) from None


def _check_unit(
    analyte: str, node: Located, unit: str | None, form: str | None, basis: str | None
) -> None:
    """Refuse a unit, form or basis that the analyte does not have."""
    try:
        stored_basis(analyte, basis)
        if unit is not None and not counts_drops(unit):
            to_canonical(analyte, unit, form=form, basis=basis, density=1.0)
    except UnitError as error:
        raise node.error(str(error)) from None


def _text(fields: Mapping[str, Located], key: str) -> str | None:
    return fields[key].text() if key in fields else None
