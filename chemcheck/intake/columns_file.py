"""The user's own word on files: a YAML file that says what columns are, and settles choices.

.. code-block:: yaml

    decimal: ","                # or "."
    date_order: dmy             # or mdy, ymd
    header_row: 4               # as a spreadsheet numbers rows
    units_row: 5                # or none
    ppm: mg/kg                  # what ppm means in coolant, or mg/L
    material: coolant           # of rows that do not say; likewise technology,
    technology: organic acid    # glycol_type, method, laboratory and lot
    columns:
      Chlorid: chloride                                # an analyte, a fact, or text
      Härte: {analyte: total hardness, unit: dH}
      Cl: {analyte: chloride, flag: Cl Q, limit: Cl RL}    # columns beside it
      pH: {analyte: ph, basis: diluted, method: field meter}
      Werk: {fact: sampling_point}
      Remarks: text
    strip_charts:               # the chart of the strips in use
      nitrite: {unit: mg/L, steps: [0, 300, 600, 1200, 2400], doubling: yes}
    strips_late: yes            # read late, or expired
"""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from chemcheck.analytes import find_analyte, read_name, stored_basis, to_canonical, vocabulary
from chemcheck.errors import UnitError, not_one_of
from chemcheck.intake.choices import (
    NO_ROW,
    PPM_MEANINGS,
    Choices,
    ColumnChoice,
    StripChart,
    plain_title,
)
from chemcheck.intake.dates import DATE_ORDERS
from chemcheck.intake.decimal_mark import DECIMAL_MARKS
from chemcheck.intake.material import sample_word, technology_key
from chemcheck.intake.word_lists import word_list
from chemcheck.limit_library import find_method, methods, technologies
from chemcheck.limit_library.located_yaml import Located, read_yaml

_TEXT = "text"
_KEYS = ("analyte", "fact", "unit", "form", "basis", "method", "flag", "limit")
_CHART_KEYS = ("unit", "form", "steps", "doubling")
_YES_OR_NO = ("yes", "no", "true", "false")


def read_columns_file(path: str | Path) -> Choices:
    r"""Read a columns file.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    Choices
        What it settles.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder, "ours.yaml")
    ...     _ = file.write_text("ppm: mg/kg\ncolumns:\n  Hard: {analyte: TH, unit: gpg}\n")
    ...     choices = read_columns_file(file)
    >>> choices.ppm, choices.of_title("hard").unit
    ('mg/kg', 'gpg')
    """
    whole, _ = read_yaml(Path(path), str(path))
    fields = whole.fields((*_SETTINGS, "columns", "strip_charts", "strips_late"))
    settings = {key: _SETTINGS[key](node) for key, node in fields.items() if key in _SETTINGS}
    columns = fields["columns"].mapping() if "columns" in fields else {}
    charts = fields["strip_charts"].mapping() if "strip_charts" in fields else {}
    return Choices(
        file=str(path),
        columns={plain_title(title): _column(title, node) for title, node in columns.items()},
        strip_charts=dict(_chart(name, node) for name, node in charts.items()),
        strips_late="strips_late" in fields and _yes(fields["strips_late"]),
        **settings,
    )


def _yes(node: Located) -> bool:
    return node.one_of(_YES_OR_NO, "answer") in ("yes", "true")


def _one_of(*options: str) -> Callable[[Located], str]:
    return lambda node: node.one_of(options, "choice")


def _technology(node: Located) -> str:
    text = node.text()
    if technology_key(text) is None:
        raise node.error(not_one_of(text, technologies(), "technology"))
    return text


def _glycol_type(node: Located) -> str:
    found = sample_word("glycol_type", node.text())
    if found is None:
        kinds = list(word_list("sample_words")["glycol_type"])
        raise node.error(not_one_of(node.text(), kinds, "glycol"))
    return found


def _method(node: Located) -> str:
    text = node.text()
    if not any(find_method(text, material) for material in ("water", "coolant")):
        raise node.error(not_one_of(text, methods(), "method"))
    return text


def _row(node: Located) -> int:
    number = node.number()
    if number < 1 or number != int(number):
        problem = f"expected the number of a row, from 1, found {number:g}"
        raise node.error(problem)
    return int(number)


def _row_or_none(node: Located) -> int:
    return NO_ROW if node.is_text("none") else _row(node)


_SETTINGS: Mapping[str, Callable[[Located], Any]] = {
    "decimal": _one_of(*DECIMAL_MARKS),
    "date_order": _one_of(*DATE_ORDERS),
    "header_row": _row,
    "units_row": _row_or_none,
    "ppm": _one_of(*PPM_MEANINGS),
    "material": _one_of("water", "coolant"),
    "technology": _technology,
    "glycol_type": _glycol_type,
    "method": _method,
    "laboratory": Located.text,
    "lot": Located.text,
}


def _column(title: str, node: Located) -> ColumnChoice:
    """Read what is said of one column: in one word, or key by key."""
    if isinstance(node.content, str):
        return _in_one_word(title, node)
    fields = node.fields(_KEYS)
    if ("analyte" in fields) == ("fact" in fields):
        problem = "expected one of the keys 'analyte' and 'fact'"
        raise node.error(problem)
    if "fact" in fields:
        role = fields["fact"].one_of(_facts(), "fact of a sample")
        unit = fields["unit"].text() if "unit" in fields else None
        return ColumnChoice(title, node.line, role=role, unit=unit)
    name = fields["analyte"].text()
    known = read_name(name)
    if known is None:
        raise fields["analyte"].error(not_one_of(name, vocabulary(), "analyte"))
    unit, form, basis, flag, limit = (
        fields[key].text() if key in fields else None
        for key in ("unit", "form", "basis", "flag", "limit")
    )
    form, basis = form or known.form, basis or known.basis
    try:
        stored_basis(known.analyte, basis)
        if unit is not None:
            to_canonical(known.analyte, unit, form=form, basis=basis, density=1.0)
    except UnitError as error:
        raise node.error(str(error)) from None
    method = _method(fields["method"]) if "method" in fields else None
    return ColumnChoice(
        title,
        node.line,
        known.analyte,
        unit=unit,
        form=form,
        basis=basis,
        method=method,
        flag=flag,
        limit=limit,
    )


def _in_one_word(title: str, node: Located) -> ColumnChoice:
    text = node.text()
    if text == _TEXT:
        return ColumnChoice(title, node.line, keep_as_text=True)
    if text in _facts():
        return ColumnChoice(title, node.line, role=text)
    known = read_name(text)
    if known is None:
        options = [*vocabulary(), *_facts(), _TEXT]
        raise node.error(not_one_of(text, options, "analyte or fact of a sample"))
    return ColumnChoice(title, node.line, known.analyte, form=known.form, basis=known.basis)


def _facts() -> list[str]:
    return list(word_list("sample_columns")["roles"])


def _chart(name: str, node: Located) -> tuple[str, StripChart]:
    """Read one pad of the user's own chart."""
    analyte = find_analyte(name)
    if analyte is None:
        raise node.error(not_one_of(name, vocabulary(), "analyte"))
    fields = node.fields(_CHART_KEYS, ("unit", "steps"))
    form = fields["form"].text() if "form" in fields else None
    try:
        change = to_canonical(analyte, fields["unit"].text(), form=form, density=1.0)
    except UnitError as error:
        raise fields["unit"].error(str(error)) from None
    steps = tuple(change(step.number()) for step in fields["steps"].entries())
    if len(steps) < 2 or list(steps) != sorted(set(steps)):
        problem = "expected at least two steps, each greater than the last"
        raise fields["steps"].error(problem)
    return analyte, StripChart(steps, "doubling" in fields and _yes(fields["doubling"]))
