"""What the user settled about files: by options, or in a columns file."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace

from chemcheck.intake.headers import Header
from chemcheck.intake.standards import NamedStandard

PPM_MEANINGS = ("mg/L", "mg/kg")
LAYOUTS = ("wide", "long", "wqx", "transposed")
# What the columns of a long table can hold besides facts about its samples.
LONG_ROLES = ("parameter", "value", "unit", "flag", "limit", "limit_unit", "fraction", "form")
# What a 0 in a column means.
ZEROS = ("measured", "not measured", "not detected")
MEASURED, NOT_MEASURED, NOT_DETECTED = ZEROS
# Of a row that the user says is not there.
NO_ROW = -1


@dataclass(frozen=True, slots=True)
class StripChart:
    """The user's own chart of one pad.

    Parameters
    ----------
    steps : tuple of float
        Ascending [the analyte's canonical unit].
    doubling : bool
        Whether the midpoint of two steps is geometric.
    """

    steps: tuple[float, ...]
    doubling: bool = False


@dataclass(frozen=True, slots=True)
class Kit:
    """How a number read off a kit becomes a result.

    Parameters
    ----------
    drop : float or None
        What one counted drop is worth [the analyte's canonical unit].
    titration : str or None
        What 1 mL of titrant is, as a unit: ``mL 0.02 N/50 mL``.
    dilution : float
        By how much the sample was thinned before it was tested: 2 where halved.
    """

    drop: float | None = None
    titration: str | None = None
    dilution: float = 1.0


@dataclass(frozen=True, slots=True)
class ColumnChoice:
    """What a columns file says of one column.

    Parameters
    ----------
    title : str
        The column, as the columns file writes it.
    line : int
        The line of the columns file.
    analyte, role, unit, form, basis, method : str or None
        What it says; None leaves it to the title. Both ``analyte`` and ``role`` None with
        ``keep_as_text`` keeps the column as it is.
    keep_as_text : bool
        The column is no reading, whatever its title.
    flag, limit : str or None
        The titles of the columns that hold the flags and the detection limits of its cells.
    kit : Kit or None
        What a number in it is worth, where it was read off a kit.
    zero : str or None
        What a 0 means: one of `ZEROS`.
    """

    title: str
    line: int
    analyte: str | None = None
    role: str | None = None
    unit: str | None = None
    form: str | None = None
    basis: str | None = None
    method: str | None = None
    keep_as_text: bool = False
    flag: str | None = None
    limit: str | None = None
    kit: Kit | None = None
    zero: str | None = None

    @property
    def companions(self) -> tuple[tuple[str, str], ...]:
        """The columns that say more about its cells: kind and title of each."""
        both = (("flag", self.flag), ("limit", self.limit))
        return tuple((kind, title) for kind, title in both if title is not None)

    def header(self, read: Header) -> Header:
        """Return what a column means, from its title and this choice."""
        if self.keep_as_text:
            return Header(None, None, None, None, None, read.title)
        if self.role is not None:
            return Header(None, self.unit or read.unit_text, None, None, self.role, read.title)
        if self.analyte not in (None, read.analyte):
            read = Header(self.analyte, None, None, None, None, read.title)
        form = self.form or read.form
        return replace(
            read,
            unit_text=self.unit or read.unit_text,
            form=form,
            basis=self.basis or read.basis,
            choices=() if form else read.choices,
        )


@dataclass(frozen=True, slots=True)
class Choices:
    """Everything the user settled.

    Parameters
    ----------
    file : str or None
        The columns file.
    columns : mapping of str to ColumnChoice
        By title in lower case.
    analytes : mapping of str to ColumnChoice
        By the name that a long table gives to what it measures, in lower case.
    layout : {"wide", "long", "wqx", "transposed"} or None
        How the table is laid out.
    decimal : {".", ","} or None
        The decimal mark.
    date_order : {"dmy", "mdy", "ymd"} or None
        The order of day and month.
    header_row, units_row : int or None
        Where they stand, as a spreadsheet numbers rows; ``NO_ROW`` for no row of units.
    ppm : {"mg/L", "mg/kg"} or None
        What ppm means in coolant.
    material, technology, glycol_type, method, laboratory, lot : str or None
        Of every row that does not say.
    standards : tuple of NamedStandard
        Check standards, by their name in the files.
    strip_charts : mapping of str to StripChart
        By analyte; they come before the library's steps.
    strips_late : bool
        The strips were read late or are expired.
    kits : mapping of str to Kit
        By analyte; they come before what the library says of kits.
    ditto : {"copied", "refused"} or None
        What a ditto mark is; None lets the file decide.
    one_unit_a_line : bool
        No line stands for several units.
    pads : {"values", "numbered"} or None
        What a small whole number beside a strip means: a value, or the place of a pad on
        its chart, from 1 at the least.
    """

    file: str | None = None
    columns: Mapping[str, ColumnChoice] = field(default_factory=dict)
    analytes: Mapping[str, ColumnChoice] = field(default_factory=dict)
    layout: str | None = None
    decimal: str | None = None
    date_order: str | None = None
    header_row: int | None = None
    units_row: int | None = None
    ppm: str | None = None
    material: str | None = None
    technology: str | None = None
    glycol_type: str | None = None
    method: str | None = None
    laboratory: str | None = None
    lot: str | None = None
    standards: tuple[NamedStandard, ...] = ()
    strip_charts: Mapping[str, StripChart] = field(default_factory=dict)
    strips_late: bool = False
    kits: Mapping[str, Kit] = field(default_factory=dict)
    ditto: str | None = None
    one_unit_a_line: bool = False
    pads: str | None = None

    def over(self, others: "Choices") -> "Choices":
        """Return these choices, with others where these say nothing."""
        said = {
            item.name: getattr(self, item.name)
            for item in fields(self)
            if getattr(self, item.name) not in (None, {}, (), False)
        }
        return replace(others, **said)

    def of_analyte(self, name: str) -> ColumnChoice | None:
        """Return what was said of what a long table measures."""
        return self.analytes.get(plain_title(name))

    def of_title(self, title: str) -> ColumnChoice | None:
        """Return what was said of a column."""
        return self.columns.get(plain_title(title))


def plain_title(title: str) -> str:
    """Write a title as columns files are compared with it.

    Examples
    --------
    >>> plain_title(" Cl  (mg/L) ")
    'cl (mg/l)'
    """
    return " ".join(title.split()).casefold()
