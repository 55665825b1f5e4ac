"""Dates in every style of a file, its order of day and month decided from all of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.intake.date_words import numeric_month_names
from chemcheck.intake.decimal_mark import Texts

DATE_ORDERS = ("dmy", "mdy", "ymd")
_ORDER_WORDS = {"dmy": "day first", "mdy": "month first", "ymd": "year first"}
_NAT = np.datetime64("NaT", "us")

# Serial days of spreadsheets: 1954 to 2119, counted from 1899-12-30 (the 1900 system).
_SERIALS = (20_000.0, 80_000.0)
_SERIAL_ORIGIN = np.datetime64("1899-12-30", "us")

_TIME = (
    r"(?:[T ,]+(?P<hour>\d{1,2})(?:[:h.](?P<minute>\d{2})(?:[:m.](?P<second>\d{2})"
    r"(?:[.,](?P<fraction>\d{1,9}))?)?)?s? ?(?P<half>[AaPp]\.?[Mm]\.?)?"
    r" ?(?P<zone>Z|[A-Z]{2,5}|(?:UTC|GMT)?[+-]\d{2}:?\d{0,2})?(?: ?Uhr)?)?"
)
_YEAR_FIRST = rf"^(?P<a>\d{{4}})[-/. ](?P<b>\d{{1,2}})[-/. ](?P<c>\d{{1,2}})\.?{_TIME}$"
_NUMERIC = (
    rf"^(?P<a>\d{{1,2}})(?P<mark>[-/. ]) ?(?P<b>\d{{1,2}})[-/. ] ?(?P<c>\d{{4}}|\d{{2}}){_TIME}$"
)
_COMPACT = (
    r"^(?P<a>(?:19|20)\d{2})(?P<b>\d{2})(?P<c>\d{2})"
    r"(?:T?(?P<hour>\d{2})(?P<minute>\d{2})(?P<second>\d{2})?(?P<zone>Z)?)?$"
)
_SERIAL = r"^\d{5}(?:[.,]\d+)?$"


@dataclass(frozen=True, slots=True)
class DateOrder:
    """The order of day and month in a file.

    Parameters
    ----------
    order : {"dmy", "mdy", "ymd"} or None
        None where the file leaves it open, or where its dates contradict each other:
        then each date with only one reading is still read.
    why : str
        The evidence, as words for a person.
    """

    order: str | None
    why: str


@dataclass(frozen=True, slots=True)
class ParsedDates:
    """Dates of distinct texts.

    Parameters
    ----------
    values : ndarray of datetime64[us], shape (n,)
        As written on the clock of the place: a stated zone is not applied, so that the
        day stays the day of the sample. NaT where blank, ambiguous or bad.
    ambiguous : ndarray of bool, shape (n,)
        Two readings are possible, and the file does not say which.
    bad : ndarray of bool, shape (n,)
        No date; blank texts are not bad.
    order_found : {"dmy", "mdy", "ymd"} or None
        The order used.
    why : str
        Why this order.
    """

    values: npt.NDArray[np.datetime64]
    ambiguous: npt.NDArray[np.bool_]
    bad: npt.NDArray[np.bool_]
    order_found: str | None
    why: str


def date_order(texts_by_column: Mapping[str, Texts]) -> DateOrder:
    """Decide the order of day and month from every date of a file.

    Parameters
    ----------
    texts_by_column : mapping of str to sequence of str
        Header to the distinct texts, of the columns that hold dates.

    Returns
    -------
    DateOrder
        A number above 12 decides. Where nothing does, dates with points (3.4.25) are
        still read day first, as every locale of the Unicode CLDR that writes points
        between day, month and a closing year has it.

    Examples
    --------
    >>> date_order({"Date": ["03/04/25", "28/04/25"]})
    DateOrder(order='dmy', why='day first, as in 28/04/25')
    >>> date_order({"Date": ["03/04/25"]}).order is None
    True
    """
    columns = []
    for texts in texts_by_column.values():
        array = _named_months_as_numbers(_array(texts))
        columns.append(_numeric_parts(array, np.arange(len(array))))
    return _decide(columns)


def parse_dates(texts: Texts, order: str | None = None) -> ParsedDates:
    """Read distinct date texts.

    Parameters
    ----------
    texts : sequence of str, ndarray of object or pyarrow string array, shape (n,)
        Distinct texts; None and the empty text are blank.
    order : {"dmy", "mdy", "ymd"}, optional
        The order in numeric dates whose year does not lead. By default these texts
        decide; where a file has several date columns, `date_order` decides for all.

    Returns
    -------
    ParsedDates
        In the order of the texts. Two-digit years are 1970 to 2069.

    Raises
    ------
    ValueError
        If the order is none of the three.

    Examples
    --------
    >>> parse_dates(["2025-04-03", "3 avril 2025", "45750", "28/04/25"]).values.astype("M8[D]")
    array(['2025-04-03', '2025-04-03', '2025-04-03', '2025-04-28'],
          dtype='datetime64[D]')
    >>> parse_dates(["03/04/25", "03/03/25"]).ambiguous.tolist()
    [True, False]
    """
    if order is not None and order not in DATE_ORDERS:
        message = f"expected a date order of {', '.join(DATE_ORDERS)}, not {order!r}"
        raise ValueError(message)
    array = _array(texts)
    values = _all_iso(array)
    if values is not None:
        none = np.zeros(len(array), dtype=bool)
        return ParsedDates(values, none, none, order, "every date has one reading")
    array = _named_months_as_numbers(array)
    values = np.full(len(array), _NAT)
    ambiguous = np.zeros(len(array), dtype=bool)
    bad = np.asarray(pc.not_equal(array, ""))
    rest = np.flatnonzero(bad)
    for pattern in (_YEAR_FIRST, _COMPACT):
        fields = _Fields(array, pattern, rest)
        fields.enter(values, bad, fields.date("a", "b", "c"))
        rest = fields.rest
    numeric = _numeric_parts(array, rest)
    decided = _decide([numeric]) if order is None else DateOrder(order, "as stated")
    numeric.fields.enter(values, bad, numeric.dates(decided.order))
    ambiguous[numeric.fields.places] = numeric.ambiguous(decided.order)
    _enter_serials(array, numeric.fields.rest, values, bad)
    return ParsedDates(values, ambiguous, bad & ~ambiguous, decided.order, decided.why)


class _Fields:
    """The parts of the dates that have one shape."""

    def __init__(self, array: pa.Array, pattern: str, among: npt.NDArray[np.int64]) -> None:
        texts = array if len(among) == len(array) else array.take(pa.array(among))
        parts = pc.extract_regex(texts, pattern)
        found = parts.is_valid()
        self.places = among[np.asarray(found)]
        self.rest = among[~np.asarray(found)]
        self.texts = texts.filter(found)
        self.parts = parts.filter(found)
        self.names = {field.name for field in self.parts.type}

    def number(self, name: str) -> npt.NDArray[np.int64]:
        """Return one part as numbers; 0 where it is absent."""
        if name not in self.names:
            return np.zeros(len(self.parts), dtype=np.int64)
        text = self.parts.field(name)
        filled = pc.if_else(pc.equal(text, ""), "0", text)
        return np.asarray(pc.cast(filled, pa.int64()))

    def date(self, year: str, month: str, day: str) -> npt.NDArray[np.datetime64]:
        """Return the moment of each text, NaT where there is no such day or time."""
        years = self.number(year)
        years = np.where(years >= 100, years, np.where(years < 70, 2000 + years, 1900 + years))
        return _days(years, self.number(month), self.number(day)) + self.time()

    def time(self) -> npt.NDArray[np.timedelta64]:
        """Return the time of day, NaT where there is none such."""
        hour, minute, second = (self.number(name) for name in ("hour", "minute", "second"))
        if "half" in self.names:
            half = pc.utf8_lower(self.parts.field("half"))
            afternoon = np.asarray(pc.starts_with(half, "p"))
            morning = np.asarray(pc.starts_with(half, "a"))
            hour = np.where((afternoon | morning) & (hour == 12), 0, hour) + 12 * afternoon
        micro = np.zeros_like(hour)
        if "fraction" in self.names:
            digits = pc.utf8_slice_codeunits(
                pc.utf8_rpad(self.parts.field("fraction"), 6, "0"), 0, 6
            )
            micro = np.asarray(pc.cast(digits, pa.int64()))
        good = (hour < 24) & (minute < 60) & (second < 61)
        total = ((hour * 60 + minute) * 60 + second) * 1_000_000 + micro
        return np.where(good, total.astype("m8[us]"), np.timedelta64("NaT", "us"))

    def enter(
        self,
        values: npt.NDArray[np.datetime64],
        bad: npt.NDArray[np.bool_],
        dates: npt.NDArray[np.datetime64],
    ) -> None:
        """Put the dates where their texts stand."""
        values[self.places] = dates
        bad[self.places] = np.isnat(dates)


@dataclass(frozen=True, slots=True)
class _Numeric:
    """Dates of three numbers whose year does not lead."""

    fields: _Fields
    by_order: dict[str, npt.NDArray[np.datetime64]]
    points: npt.NDArray[np.bool_]

    @property
    def only(self) -> dict[str, npt.NDArray[np.bool_]]:
        """Say which dates have one reading only, by its order."""
        can = {order: ~np.isnat(dates) for order, dates in self.by_order.items()}
        # A year of two digits in front is rare: it is read so only where nothing else fits.
        two_digits = ~can["dmy"] & ~can["mdy"] & can["ymd"]
        return {
            "dmy": (can["dmy"] & ~can["mdy"]),
            "mdy": (can["mdy"] & ~can["dmy"]),
            "ymd": two_digits,
        }

    @property
    def open(self) -> npt.NDArray[np.bool_]:
        """Say which dates have two readings that differ."""
        first, second = self.by_order["dmy"], self.by_order["mdy"]
        two = ~np.isnat(first) & ~np.isnat(second) & (first != second)
        return np.asarray(two & ~self.points)

    def ambiguous(self, order: str | None) -> npt.NDArray[np.bool_]:
        """Say which dates cannot be read under what was decided."""
        return self.open & np.isnat(self.dates(order))

    def dates(self, order: str | None) -> npt.NDArray[np.datetime64]:
        """Return the dates, NaT where they are ambiguous or impossible."""
        if order in ("dmy", "mdy"):
            return self.by_order[order]
        only = self.only
        values = np.where(self.open, _NAT, self.by_order["dmy"])
        for name in ("mdy", "ymd"):
            values = np.where(only[name], self.by_order[name], values)
        if order == "ymd":
            values = np.where(np.isnat(self.by_order["ymd"]), values, self.by_order["ymd"])
        return values

    def first(self, mask: npt.NDArray[np.bool_]) -> str | None:
        """Return the first date of a kind as an example."""
        places = np.flatnonzero(mask)
        return self.fields.texts[int(places[0])].as_py() if len(places) else None


def _numeric_parts(array: pa.Array, among: npt.NDArray[np.int64]) -> _Numeric:
    fields = _Fields(array, _NUMERIC, among)
    four = fields.number("c") >= 100
    by_order = {
        "dmy": fields.date("c", "b", "a"),
        "mdy": fields.date("c", "a", "b"),
        "ymd": np.where(four, _NAT, fields.date("a", "b", "c")),
    }
    points = np.asarray(pc.equal(fields.parts.field("mark"), ".")) & ~np.isnat(by_order["dmy"])
    return _Numeric(fields, by_order, points)


def _decide(columns: Sequence[_Numeric]) -> DateOrder:
    """Decide the order from what each column proves."""
    proofs: dict[str, str] = {}
    for column in columns:
        for order, mask in column.only.items():
            example = column.first(mask)
            if example is not None:
                proofs.setdefault(order, example)
    if len(proofs) == 1:
        order, example = next(iter(proofs.items()))
        return DateOrder(order, f"{_ORDER_WORDS[order]}, as in {example}")
    if proofs:
        shown = " and ".join(f"{example} ({_ORDER_WORDS[o]})" for o, example in proofs.items())
        return DateOrder(None, f"more than one order is used, as in {shown}")
    example = next((found for c in columns if (found := c.first(c.open)) is not None), None)
    if example is None:
        return DateOrder(None, "every date has one reading")
    return DateOrder(None, f"{example} may have the day or the month first, and nothing decides")


def _days(
    years: npt.NDArray[np.int64], months: npt.NDArray[np.int64], days: npt.NDArray[np.int64]
) -> npt.NDArray[np.datetime64]:
    """Return midnight of each day, NaT where the calendar has no such day."""
    good = (months >= 1) & (months <= 12) & (days >= 1) & (days <= 31)
    first = ((years - 1970) * 12 + np.where(good, months, 1) - 1).astype("M8[M]")
    moment = first.astype("M8[D]") + (np.where(good, days, 1) - 1).astype("m8[D]")
    good &= moment.astype("M8[M]") == first
    return np.where(good, moment.astype("M8[us]"), _NAT)


def _enter_serials(
    array: pa.Array,
    among: npt.NDArray[np.int64],
    values: npt.NDArray[np.datetime64],
    bad: npt.NDArray[np.bool_],
) -> None:
    """Read spreadsheet serial days."""
    texts = array.take(pa.array(among))
    is_serial = pc.match_substring_regex(texts, _SERIAL)
    found = among[np.asarray(is_serial)]
    texts = pc.replace_substring(texts.filter(is_serial), ",", ".")
    days = np.asarray(pc.cast(texts, pa.float64()))
    seconds = np.round(days * 86_400.0).astype("m8[s]")
    inside = (days >= _SERIALS[0]) & (days <= _SERIALS[1])
    moments = np.where(inside, _SERIAL_ORIGIN + seconds.astype("m8[us]"), _NAT)
    values[found] = moments
    bad[found] = np.isnat(moments)


def _array(texts: Texts) -> pa.Array:
    """Return the texts trimmed, without nulls."""
    if isinstance(texts, pa.ChunkedArray):
        texts = texts.combine_chunks()
    array = texts if isinstance(texts, pa.Array) else pa.array(texts, type=pa.string())
    return pc.utf8_trim_whitespace(pc.fill_null(array, ""))


def _all_iso(array: pa.Array) -> npt.NDArray[np.datetime64] | None:
    """Return the moments of texts that all are blank or ISO 8601 without a zone, else None."""
    stated = pc.if_else(pc.equal(array, ""), None, array)
    try:
        return np.asarray(pc.cast(stated, pa.timestamp("us")))
    except pa.ArrowInvalid:
        return None


def _named_months_as_numbers(array: pa.Array) -> pa.Array:
    """Write dates with a month's name as year-month-day."""
    named = np.asarray(pc.match_substring_regex(array, r"[^\d\W]{3,}|[\x{80}-\x{10ffff}]"))
    if not named.any():
        return array
    texts = array.filter(pa.array(named))
    numeric = numeric_month_names(texts).cast(array.type)
    return pc.replace_with_mask(array, pa.array(named), numeric)
