"""What the pages are written from, and how one is opened."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from chemcheck.intake.templates import job_template

SAMPLES = Path(__file__).parents[2] / "sample_results"
# A telephone, a tablet, a desk [CSS pixels].
WIDTHS = (390, 1024, 1600)

# Ids as somebody hostile, or a broken export, may write them.
HOSTILE = (
    "<script>document.title='taken'</script>",
    '"><img src=x onerror="document.title=\'taken\'">',
    "\u202eevil\u202c right to left \u05d0\u05d1",
    "x" * 10_000,
    "{{ 7 * 7 }}",
)

# What an engine's water goes through, for the parts of a water page that ask for it.
SYSTEM = (
    *("--system", "12 L", "--drains", "8 L", "--top-ups", "26 x 1 L", "--loss", "leak"),
    *("--hot-area", "0.4 m2", "--heat-flux", "60 kW/m2"),
)
TAP = "tap=pH=7.6; hardness=310 mg/L; alkalinity=240 mg/L; chloride=85 mg/L; sulfate=120 mg/L"
HISTORY = (str(SAMPLES / "fleet_history.csv"), "--events", str(SAMPLES / "events.csv"))
COSTS = ("--planned-cost", "300", "--failure-cost", "9000", "--delay", "1500")

# Each writes pages into a folder of its own.
RUNS = {
    "check": ("check", str(SAMPLES / "lab_wide.csv")),
    "strips": ("check", str(SAMPLES / "strip_log.csv")),
    "messy": ("check", str(SAMPLES / "messy.csv")),
    "received": ("check", str(SAMPLES / "received_goods.csv")),
    "units": ("check", *HISTORY),
    "unit": ("check", *HISTORY, "--unit", "WL-02"),
    "water": ("water", str(SAMPLES / "fill_water.csv")),
    "system": ("water", str(SAMPLES / "fill_water.csv"), *SYSTEM),
    "blend": ("blend", "--source", f"{TAP}:2.40/m3", "--source", "deionised:40/m3"),
    "interval": ("interval", *HISTORY, *COSTS),
    "forecast": ("forecast", *HISTORY),
}
# These need files of their own.
KINDS = (*RUNS, "hostile", "fleet", "evidence")


@contextmanager
def opened(browser: Any, file: Path, width: int) -> Iterator[tuple[Any, list[str], list[str]]]:
    """Open a page; give it with what it complained of and what it asked for."""
    page = browser.new_page(viewport={"width": width, "height": 900})
    said: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("dialog", lambda dialog: (said.append(dialog.message), dialog.dismiss()))
    page.on("request", lambda request: asked.append(request.url))
    try:
        page.goto(file.as_uri())
        yield page, said, asked
    finally:
        page.close()


def evidence_run(folder: Path) -> tuple[str, ...]:
    """Write a job's record, and return what makes its evidence page."""
    job = folder / "job.yaml"
    text = job_template().replace("EXAMPLE UNIT", "HT-04").replace("after: EXAMPLE-2\n", "")
    job.write_text(text.replace("before: EXAMPLE-1\n", ""), encoding="utf-8")
    history = str(SAMPLES / "fleet_history.csv")
    return ("check", history, "--unit", "HT-04", "--job", str(job))


def hostile_file(folder: Path) -> Path:
    """Write a file whose samples have hostile ids."""
    rows = [
        '"{0}","{0}",2031-03-14,organic acid,8.3,30,12'.format(t.replace('"', '""'))
        for t in HOSTILE
    ]
    file = folder / "hostile.csv"
    head = "Sample No,Unit,Date,Technology,pH,Glycol (vol%),Chloride (mg/L)"
    file.write_text("\n".join([head, *rows, ""]), encoding="utf-8")
    return file
