"""The user's own word on files: a YAML file that says what columns are, and settles choices.

.. code-block:: yaml

    layout: long                # a row for each result; or wide, wqx, transposed
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
      K: {analyte: potassium, zero: measured}          # or not measured, not detected
      Werk: {fact: sampling_point}
      Betrieb: depot            # likewise container, water_source, bulk_tank,
      Seit: {fact: hours_since_top_up, unit: min}    # concentrate_lot, received_on, ran_hot
      Remarks: text
      Ergebnis: {fact: value}   # of a long table: parameter, value, unit, flag, limit, ...
    analytes:                   # what a long table names in its rows
      KH: {analyte: total alkalinity, unit: dH}
      Farbe: text               # left out
    strip_charts:               # the chart of the strips in use
      nitrite: {unit: mg/L, steps: [0, 300, 600, 1200, 2400], doubling: yes}
    strips_late: yes            # read late, or expired
    pads: numbered              # 'between 2 and 3' are places on the chart, or values
    ditto: copied               # a ditto mark is the result above it, or refused
    one_unit_a_line: yes        # 'T4, T7' is one unit
    kits:                       # what is read off the kits in use
      chloride: {per_drop: 5 mg/L}
      total alkalinity: {normality: 0.02, sample: 50 mL}       # a volume of titrant
      total hardness: {titrant: 0.01 M EDTA, sample: 25 mL}
      reserve alkalinity: {sample: 5 mL, dilution: 2}          # of a halved sample
    standards:                  # check standards, by their number or unit in the files
      QC-1: {chloride: {value: 100, unit: mg/L}, ph: 7.00}
"""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from chemcheck.errors import not_one_of
from chemcheck.intake.choices import LAYOUTS, NO_ROW, PPM_MEANINGS, Choices, plain_title
from chemcheck.intake.column_entries import read_column, read_method, read_named
from chemcheck.intake.dates import DATE_ORDERS
from chemcheck.intake.decimal_mark import DECIMAL_MARKS
from chemcheck.intake.kit_entries import read_chart, read_kits, yes
from chemcheck.intake.material import sample_word, technology_key
from chemcheck.intake.standards import read_standards
from chemcheck.intake.word_lists import word_list
from chemcheck.limit_library import technologies
from chemcheck.limit_library.located_yaml import Located, read_yaml


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
    more = ("columns", "analytes", "strip_charts", "kits", "standards")
    fields = whole.fields((*_SETTINGS, *more))
    settings = {key: _SETTINGS[key](node) for key, node in fields.items() if key in _SETTINGS}
    columns = fields["columns"].mapping() if "columns" in fields else {}
    analytes = fields["analytes"].mapping() if "analytes" in fields else {}
    charts = fields["strip_charts"].mapping() if "strip_charts" in fields else {}
    return Choices(
        file=str(path),
        columns={plain_title(title): read_column(title, node) for title, node in columns.items()},
        analytes={plain_title(name): read_named(name, node) for name, node in analytes.items()},
        strip_charts=dict(read_chart(name, node) for name, node in charts.items()),
        kits=read_kits(fields["kits"]) if "kits" in fields else {},
        standards=read_standards(fields["standards"]) if "standards" in fields else (),
        **settings,
    )


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


def _row(node: Located) -> int:
    number = node.number()
    if number < 1 or number != int(number):
        problem = f"expected the number of a row, from 1, found {number:g}"
        raise node.error(problem)
    return int(number)


def _row_or_none(node: Located) -> int:
    return NO_ROW if node.is_text("none") else _row(node)


_SETTINGS: Mapping[str, Callable[[Located], Any]] = {
    "layout": _one_of(*LAYOUTS),
    "decimal": _one_of(*DECIMAL_MARKS),
    "date_order": _one_of(*DATE_ORDERS),
    "header_row": _row,
    "units_row": _row_or_none,
    "ppm": _one_of(*PPM_MEANINGS),
    "material": _one_of("water", "coolant"),
    "technology": _technology,
    "glycol_type": _glycol_type,
    "method": read_method,
    "laboratory": Located.text,
    "lot": Located.text,
    "strips_late": yes,
    "pads": _one_of("values", "numbered"),
    "ditto": _one_of("copied", "refused"),
    "one_unit_a_line": yes,
}
