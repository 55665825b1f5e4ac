"""Two small files with the mistakes that files really have, one of each to a row.

The last column says what is wrong. Written out by hand: nothing in them is computed.
"""

from __future__ import annotations

TITLES = (
    "Sample No", "Unit", "Date Sampled", "Technology", "pH", "RA (mL)", "Glycol (%)", "Freeze Pt",
    "Nitrite (mg/L)", "Chloride (mg/L)", "Sulfate (mg/L)", "Iron (mg/L)", "Hardness",
    "Silicate (mg/L)", "Colour", "Shelf", "Remarks",
)  # fmt: skip
# What a row says where it makes no mistake.
SOUND = {
    "Unit": "HT-01",
    "Date Sampled": "25/04/2025",
    "Technology": "nitrited organic acid",
    "pH": "8.41",
    "RA (mL)": "4.1",
    "Glycol (%)": "48.6",
    "Freeze Pt": "-35.1 C",
    "Nitrite (mg/L)": "402",
    "Chloride (mg/L)": "7.2",
    "Sulfate (mg/L)": "15.1",
    "Iron (mg/L)": "1.8",
    "Hardness": "12",
    "Silicate (mg/L)": "4",
    "Colour": "red",
    "Shelf": "C3",
}
MISTAKES: tuple[tuple[str, dict[str, str]], ...] = (
    ("nothing wrong", {}),
    ("non-detect with its limit", {"Iron (mg/L)": "<0.5"}),
    ("non-detect with a decimal comma", {"Iron (mg/L)": "< 0,5"}),
    ("above the range", {"Nitrite (mg/L)": ">3000"}),
    ("not detected and no limit", {"Iron (mg/L)": "ND"}),
    ("below detection and no limit", {"Chloride (mg/L)": "BDL"}),
    ("a trace and no limit", {"Sulfate (mg/L)": "trace"}),
    ("a range", {"Nitrite (mg/L)": "300-450"}),
    ("another unit in the cell", {"Chloride (mg/L)": "45 ppm"}),
    ("Fahrenheit in the cell", {"Freeze Pt": "-34 F"}),
    ("a temperature without a unit", {"Freeze Pt": "-34"}),
    ("a mixing ratio for a share", {"Glycol (%)": "50/50"}),
    ("a Unicode minus", {"Freeze Pt": "−36.2 °C"}),
    ("full-width digits", {"pH": "８．３"}),
    ("a non-breaking space in a number", {"Nitrite (mg/L)": "1\u00a0250"}),
    ("a separator of thousands", {"Nitrite (mg/L)": "1,250"}),
    ("an exponent", {"Nitrite (mg/L)": "4.1E2"}),
    ("no possible pH", {"pH": "99"}),
    ("no possible concentration", {"Chloride (mg/L)": "-3"}),
    ("possible but unusual: a fraction for per cent?", {"Glycol (%)": "0.5"}),
    ("words for a number", {"pH": "purple"}),
    ("an error of a spreadsheet", {"RA (mL)": "#DIV/0!"}),
    ("a ditto mark", {"Chloride (mg/L)": '"'}),
    ("marks for not tested", {"RA (mL)": "-", "Sulfate (mg/L)": "n/a", "Iron (mg/L)": ""}),
    ("a date that does not exist", {"Date Sampled": "31/02/2025"}),
    ("a date as a spreadsheet counts days", {"Date Sampled": "45772"}),
    ("a date with the month's name", {"Date Sampled": "25 Apr 2025"}),
    ("a date that alone could be read in two ways", {"Date Sampled": "03/04/25"}),
    ("a technology nobody knows", {"Technology": "the purple one"}),
    ("no technology", {"Technology": ""}),
    ("no unit", {"Unit": ""}),
    ("=HYPERLINK(\"free text that a spreadsheet would run\")", {}),
)  # fmt: skip


def quoted(cells: list[str]) -> str:
    """Write a row as a spreadsheet does: quoted where it must be."""
    return ",".join(
        '"' + cell.replace('"', '""') + '"' if any(mark in cell for mark in ',"\n') else cell
        for cell in cells
    )


def row(number: int, remark: str, mistake: dict[str, str]) -> str:
    known = SOUND | mistake | {"Sample No": f"M-{number:02}", "Remarks": remark}
    return quoted([known[title] for title in TITLES])


def messy() -> str:
    """Return the file with one mistake to a row."""
    header = quoted(list(TITLES))
    lines = [header]
    lines += [row(number, *mistake) for number, mistake in enumerate(MISTAKES, start=1)]
    twice = row(80, "the same row twice", {"Unit": "HT-03"})
    lines += [twice, twice]
    lines += [
        row(81, "one sample with two results, the first", {"Unit": "HT-05", "pH": "8.2"}),
        row(81, "one sample with two results, the second", {"Unit": "HT-05", "pH": "7.1"}),
        header,
        "," * (len(TITLES) - 1),
        row(82, "the header stands above again, and an empty row", {}),
        "M-83,HT-08,25/04/2025,nitrited organic acid,8.3",
        row(84, "the row above is cut off, the one below has a cell too many", {}),
        row(85, "one cell too many", {}) + ",7",
    ]
    return "\r\n".join(lines) + "\r\n"


def undecidable() -> str:
    """Return a file that says neither what its commas nor what its dates mean."""
    return "\n".join(
        (
            "Sample No;Unit;Date Sampled;Technology;pH;Glycol (%);Nitrite (mg/L);Chloride (mg/L)",
            "U-1;CG-1;03/04/25;heavy duty with supplemental additive;10;48;1,250;7",
            "U-2;CG-2;05/06/25;heavy duty with supplemental additive;10;47;2,100;300,000",
            "U-3;CG-1;07/08/25;heavy duty with supplemental additive;9;46;1,050;8",
            "",
        )
    )


def files() -> dict[str, bytes]:
    """Return both files' bytes by name."""
    return {
        # A byte-order mark and CRLF, as a spreadsheet saves them.
        "messy.csv": messy().encode("utf-8-sig"),
        "undecidable.csv": undecidable().encode("utf-8"),
    }
