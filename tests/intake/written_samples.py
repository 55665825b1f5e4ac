"""The same invented samples written in every layout and style, for a test that reads them all."""

import gzip
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

# Title of the analyte, key, unit; a unit of the same size; and one a thousandth of it.
ANALYTES = (
    ("Chloride", "chloride", "mg/L", "mg/dm3", "ug/L"),
    ("Sulphate", "sulfate", "mg/L", "MG/L", "µg/l"),
    ("Nitrate", "nitrate", "mg/L as NO3", "mg NO3/L", "ug/L as NO3"),
    ("Iron, dissolved", "iron", "mg/L", "g/m3", "ug/L"),
    ("Conductivity", "conductivity", "uS/cm", "µmho/cm", "nS/cm"),
    ("Total hardness", "total_hardness", "mg/L as CaCO3", "mg CaCO3/L", "ug/L as CaCO3"),
)
MONTHS = [
    "",
    "Jan",
    "Feb",
    "März",
    "avril",
    "May",
    "junio",
    "Jul",
    "août",
    "Sept",
    "Okt",
    "Nov",
    "Dec",
]


@dataclass(frozen=True)
class Sample:
    """One sample: its number, place, day, and for each analyte a mark and a number."""

    number: str
    site: str
    day: date
    results: tuple[tuple[str, str], ...]


def invented(seed: int, count: int = 5) -> list[Sample]:
    """Make samples up; every day of the month above 12 stands once at least."""
    draw = random.Random(seed)
    samples = []
    for k in range(count):
        results = tuple(
            (
                draw.choice(["", "", "", "<", ">"]),
                f"{draw.uniform(1000, 9999) / 10 ** draw.choice([0, 1, 2]):.2f}",
            )
            for _ in ANALYTES
        )
        day = date(
            2025, draw.randint(1, 12), draw.randint(13, 28) if k == 0 else draw.randint(1, 28)
        )
        samples.append(Sample(f"W-{k}", f"Tap {k % 2 + 1}", day, results))
    return samples


@dataclass(frozen=True)
class Style:
    """How a file writes what it says."""

    decimal: str
    separator: str
    line_end: str
    encoding: str
    date: str
    unit: int
    thousands: bool
    packed: bool

    def number(self, text: str) -> str:
        """Write a number; one without its three last decimals is in the small unit."""
        whole, _, decimals = text.partition(".")
        if self.unit == 4:  # a thousand times the number
            whole, decimals = (whole + decimals + "0").lstrip("0") or "0", ""
        if self.thousands and len(whole) > 3:
            mark = "," if self.decimal == "." else "."
            whole = f"{int(whole):,}".replace(",", mark)
        return whole + (self.decimal + decimals if decimals else "")

    def day(self, day: date) -> str:
        """Write a date."""
        return {
            "iso": f"{day:%Y-%m-%d}",
            "european": f"{day.day}.{day.month}.{day.year}",
            "slashes": f"{day:%d/%m/%Y}",
            "american": f"{day:%m/%d/%y}",
            "compact": f"{day:%Y%m%d}",
            "serial": str((day - date(1899, 12, 30)).days),
            "month names": f"{day.day} {MONTHS[day.month]} {day.year}",
        }[self.date]

    def written(self, rows: Sequence[Sequence[str]]) -> bytes:
        """Write rows as a file."""
        lines = []
        for k, row in enumerate(rows):
            cells = (f'"{c}"' if self.separator in c or '"' in c else c for c in row)
            end = self.line_end if self.line_end != "mixed" else ("\n", "\r\n")[k % 2]
            lines.append(self.separator.join(cells) + end)
        data = "".join(lines).encode(self.encoding)
        return gzip.compress(data) if self.packed else data


def styles(seed: int, count: int) -> Iterator[Style]:
    """Give styles, chosen at random; commas do not both separate and mark decimals."""
    draw = random.Random(seed)
    for _ in range(count):
        decimal = draw.choice(".,")
        yield Style(
            decimal,
            draw.choice(",;\t|" if decimal == "." else ";\t|"),
            draw.choice(["\n", "\r\n", "\r", "mixed"]),
            draw.choice(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
            draw.choice(
                ["iso", "european", "slashes", "american", "compact", "serial", "month names"]
            ),
            draw.choice([2, 3, 4]),
            draw.random() < 0.3,
            draw.random() < 0.2,
        )


Rows = list[list[str]]
Layout = Callable[[list[Sample], Style], Rows]


def _cell(result: tuple[str, str], style: Style) -> str:
    return result[0] + style.number(result[1])


def _facts(sample: Sample, style: Style) -> list[str]:
    return [sample.number, sample.site, style.day(sample.day)]


FACTS = ["Sample No", "Water source", "Date sampled"]


def wide(samples: list[Sample], style: Style) -> Rows:
    """Units in the titles."""
    head = [*FACTS, *(f"{a[0]} ({a[style.unit]})" for a in ANALYTES)]
    return [head, *([*_facts(s, style), *(_cell(r, style) for r in s.results)] for s in samples)]


def units_row(samples: list[Sample], style: Style) -> Rows:
    """Units in a row of their own, below a banner and the names."""
    rows = wide(samples, style)
    units = ["", "", "", *(a[style.unit] for a in ANALYTES)]
    return [["Report 7", "all invented"], [], [*FACTS, *(a[0] for a in ANALYTES)], units, *rows[1:]]


def units_in_cells(samples: list[Sample], style: Style) -> Rows:
    """Units beside each number."""
    rows: Rows = [[*FACTS, *(a[0] for a in ANALYTES)]]
    for s in samples:
        cells = [
            f"{_cell(r, style)} {a[style.unit]}" for r, a in zip(s.results, ANALYTES, strict=True)
        ]
        rows.append([*_facts(s, style), *cells])
    return rows


def flags(samples: list[Sample], style: Style) -> Rows:
    """Marks in a column before each result."""
    head = [*FACTS]
    for a in ANALYTES:
        head += [f"{a[0]} flag", f"{a[0]} ({a[style.unit]})"]
    return [
        head,
        *(
            [*_facts(s, style), *(c for r in s.results for c in (r[0], style.number(r[1])))]
            for s in samples
        ),
    ]


def long(samples: list[Sample], style: Style) -> Rows:
    """A row for each result."""
    rows = [[*FACTS, "Parameter", "Result", "Units"]]
    for s in samples:
        for r, a in zip(s.results, ANALYTES, strict=True):
            rows.append([*_facts(s, style), a[0], _cell(r, style), a[style.unit]])
    return rows


def merged_blocks(samples: list[Sample], style: Style) -> Rows:
    """A row for each result, its sample written once."""
    rows = long(samples, style)
    step = len(ANALYTES)
    return [
        row if k == 0 or k % step == 1 else ["", "", "", *row[3:]] for k, row in enumerate(rows)
    ]


def long_with_flags(samples: list[Sample], style: Style) -> Rows:
    """A row for each result, marks and limits in columns of their own."""
    rows = [["Analyte", "Qualifier", "Value", "Unit", "RL", *FACTS]]
    for s in samples:
        for r, a in zip(s.results, ANALYTES, strict=True):
            number = style.number(r[1])
            below = r[0] == "<"
            cells = ["U", "", a[style.unit], number] if below else [r[0], number, a[style.unit], ""]
            rows.append([a[0], *cells, *_facts(s, style)])
    return rows


def wqx(samples: list[Sample], style: Style) -> Rows:
    """The open result layout."""
    measure = "ResultMeasure/MeasureUnitCode"
    rows = [
        [
            "ActivityIdentifier",
            "MonitoringLocationIdentifier",
            "ActivityStartDate",
            "ActivityMediaName",
            "CharacteristicName",
            "ResultMeasureValue",
            measure,
        ]
    ]
    for s in samples:
        for r, a in zip(s.results, ANALYTES, strict=True):
            rows.append([*_facts(s, style), "Water", a[0], _cell(r, style), a[style.unit]])
    return rows


def transposed(samples: list[Sample], style: Style) -> Rows:
    """Analytes down, samples across."""
    return [list(row) for row in zip(*wide(samples, style), strict=True)]


def transposed_units(samples: list[Sample], style: Style) -> Rows:
    """Analytes down, their units beside them, samples across."""
    rows: Rows = [["Parameter", "Unit", *(s.number for s in samples)]]
    rows.append(["Water source", "", *(s.site for s in samples)])
    rows.append(["Date sampled", "", *(style.day(s.day) for s in samples)])
    for k, a in enumerate(ANALYTES):
        rows.append([a[0], a[style.unit], *(_cell(s.results[k], style) for s in samples)])
    return rows


LAYOUTS: dict[str, Layout] = {
    one.__name__: one
    for one in (
        wide,
        units_row,
        units_in_cells,
        flags,
        long,
        merged_blocks,
        long_with_flags,
        wqx,
        transposed,
        transposed_units,
    )
}
