"""A columns file drafted from a file: what was recognised in it, to be read and corrected."""

import json
import re
from collections.abc import Iterator
from pathlib import Path

from chemcheck.intake.assemble import FileResults
from chemcheck.intake.choices import NO_ROW, Choices
from chemcheck.intake.column_plan import Column, ColumnPlan, plan_columns
from chemcheck.intake.companions import mark_columns
from chemcheck.intake.headers import Header, read_header, suggest
from chemcheck.intake.ion_sums import with_equivalents
from chemcheck.intake.long_columns import LongPlan, plan_long
from chemcheck.intake.one_file import is_wqx, open_tables, read_file
from chemcheck.intake.sample_facts import fact_of_title
from chemcheck.intake.second_header import split_header_rows
from chemcheck.intake.table import TextTable
from chemcheck.intake.transposed import TRANSPOSED

_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9_]*")


def suggest_columns(path: str | Path) -> str:
    r"""Draft a columns file: reading with it gives what reading without it gives.

    Parameters
    ----------
    path : str or Path
        A file of results; ``-`` is standard input.

    Returns
    -------
    str
        YAML: the layout, where header and units stand, the decimal mark and the order of
        dates where the file proves them, what each column is, and what a long table names
        in its rows. What was taken for granted, and what is open, stands below as comments.

    Raises
    ------
    IntakeError
        Where nothing can be read from the file.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder, "tap.csv")
    ...     _ = file.write_text("No;Cl [mg/L];Shelf\nTap 1;7,8;C\n", encoding="utf-8")
    ...     draft = suggest_columns(file)
    >>> print("\n".join(draft.splitlines()[2:9]))
    layout: wide
    header_row: 1
    units_row: none
    decimal: ","
    columns:
      "No": text
      "Cl [mg/L]": {analyte: chloride, unit: "mg/L"}
    """
    choices = Choices()
    table = open_tables(path, choices)[0]
    _, results = read_file(table, choices)
    lines = [
        f"# Drafted from {_visible(Path(str(path)).name)}. Read it, correct it, and name it with",
        "# --columns: what stands here comes before what a file shows.",
        f"layout: {TRANSPOSED if table.transposed else results.layout}",
        f"header_row: {table.layout.header_row}",
    ]
    long = plan_long(table, choices) if results.layout == "long" else None
    if is_wqx(table):
        lines += [*_settings(results)]
    elif long is not None:
        lines += [*_settings(results), *_long(table, long)]
    else:
        lines += [*_wide(table, choices, results)]
    return "\n".join([*lines, *_comments(results)]) + "\n"


def _settings(results: FileResults) -> Iterator[str]:
    if results.decimal is not None:
        yield f'decimal: "{results.decimal}"'
    if results.date_order is not None:
        yield f"date_order: {results.date_order}"


def _wide(table: TextTable, choices: Choices, results: FileResults) -> Iterator[str]:
    samples, below = split_header_rows(table, choices)
    units = next((one.row for one in below if one.kind == "units"), NO_ROW)
    yield f"units_row: {'none' if units == NO_ROW else units}"
    yield from _settings(results)
    plan = plan_columns(table.layout.header, choices, below, mark_columns(samples))
    plan = with_equivalents(plan, samples, choices)
    yield "columns:"
    entries = _wide_entries(table, plan)
    for title in dict.fromkeys(table.layout.header):
        # Of twins that mean two things one entry cannot speak.
        said = dict.fromkeys(entry for name, entry in entries if name == title)
        if title and len(said) == 1:
            yield f"  {_quoted(title)}: {next(iter(said))}"


def _wide_entries(table: TextTable, plan: ColumnPlan) -> list[tuple[str, str]]:
    """Return title and meaning of each column that has a title."""
    titles = table.layout.header
    entries = [(titles[c.place], _result(c, table)) for c in plan.readings]
    entries += [(titles[column.place], role) for role, column in plan.roles.items()]
    return entries + [(titles[c.place], _free(c)) for c in plan.free.values()]


def _free(column: Column) -> str:
    """Return what a column kept as text is: some say what was done, or how it was sampled."""
    role = column.header.role
    if role in ("event", "litres", "fluid", "note"):
        return role
    return fact_of_title(column.title) or "text"


def _result(column: Column, table: TextTable) -> str:
    fields = _fields(column.header)
    for kind, place in (("flag", column.flag), ("limit", column.limit)):
        if place is not None and table.layout.header[place]:
            fields[kind] = _quoted(table.layout.header[place])
    return _entry(fields)


def _fields(header: Header, unit: bool = True) -> dict[str, str]:
    """Return what a header says, in the keys of a columns file."""
    fields = {"analyte": str(header.analyte)}
    if header.problem is None and header.unit_text is not None and unit:
        fields["unit"] = _quoted(header.unit_text)
    if header.form is not None:
        fields["form"] = _quoted(header.form)
    if header.basis is not None:
        fields["basis"] = header.basis
    return fields


def _entry(fields: dict[str, str]) -> str:
    if list(fields) == ["analyte"]:
        return fields["analyte"]
    return "{" + ", ".join(f"{key}: {value}" for key, value in fields.items()) + "}"


def _long(table: TextTable, plan: LongPlan) -> Iterator[str]:
    titles = table.layout.header
    yield "columns:"
    entries = [(place, role) for role, place in plan.places.items()]
    entries += [(column.place, role) for role, column in plan.roles.items()]
    entries += [(column.place, _free(column)) for column in plan.free.values()]
    for place, meaning in sorted(entries):
        if titles[place] and titles.count(titles[place]) == 1:
            yield f"  {_quoted(titles[place])}: {meaning}"
    yield "analytes:"
    names = [(text or "").strip() for text in table.coded(plan.places["parameter"])[0].to_pylist()]
    for name in dict.fromkeys(filter(None, names)):
        header = read_header(name)
        if header.analyte is None:
            near = suggest(header)
            asked = "" if near is None else f"; is it {near}?"
            yield f"  {_quoted(name)}: text  # not known here, so its rows are set aside{asked}"
        else:
            fields = _fields(header, unit="unit" not in plan.places)
            yield f"  {_quoted(name)}: {_entry(fields)}"


def _comments(results: FileResults) -> Iterator[str]:
    """Say what was taken for granted, and what a choice would settle."""
    taken = [
        said if title is None else f"{title}: {said}" for title, said in results.lines.assumptions
    ]
    waiting = [f"{line.column}: {line.problem}" for line in results.lines.columns]
    for heading, said in (("Taken for granted:", taken), ("Open:", waiting)):
        if said:
            yield f"# {heading}"
            for one in dict.fromkeys(said):
                yield f"#   {_visible(' '.join(one.split()))}"


def _quoted(text: str) -> str:
    """Write a text as YAML, in quotes unless it is one plain word."""
    plain = _PLAIN.fullmatch(text) is not None
    words = ("yes", "no", "true", "false", "null", "none", "on", "off", "y", "n")
    if plain and text.casefold() not in words and len(text) > 2:
        return text
    return _visible(json.dumps(text, ensure_ascii=False))


def _visible(text: str) -> str:
    """Write characters that do not show as escapes: a title may hold anything."""
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)
