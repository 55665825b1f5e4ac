"""Time of unit pages with their charts, against bare matplotlib figures saved as SVG.

    python tests/benchmarks/unit_pages.py [PAGES]

Pages of units with several samples are made in one run of the library, each with its
charts; after each page as many bare figures are saved as it has charts, so that both are
measured side by side. Then the same of the pages of a forecast, with what is ahead. A bare
figure is the least that matplotlib can draw: one line with three points on axes. The limit
is one and a half bare figures a chart, and 20 ms a page. The pages go nowhere; the largest is
printed. On a machine that does other work too the processor time says more: the 20 ms of a
page do not grow with that work, and all else does.
"""

import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from pathlib import Path

import numpy as np
from matplotlib import rc_context
from matplotlib.figure import Figure

from chemcheck import check, read_results
from chemcheck.assessment.fleet import fleet
from chemcheck.assessment.forecast import forecast
from chemcheck.intake.events import read_events
from chemcheck.reports.page import write_unit_page
from chemcheck.reports.unit_outlook import Outlooks
from chemcheck.reports.unit_pages import UnitPages

SAMPLES = Path(__file__).parents[2] / "sample_results"
PAGES = 2000
A_CHART, A_PAGE = 1.5, 0.020


@contextmanager
def timed(total: np.ndarray) -> Iterator[None]:
    """Add the wall and processor time of a block."""
    start = time.perf_counter(), time.process_time()
    yield
    total += time.perf_counter() - start[0], time.process_time() - start[1]


def bare_figure() -> None:
    """Draw and save the least there is."""
    with rc_context({"svg.fonttype": "none"}):
        figure = Figure(figsize=(5.4, 2.1))
        figure.subplots().plot([1, 2, 3], [1, 2, 3])
        figure.savefig(StringIO(), format="svg")


def many_units(pages: int, folder: Path) -> UnitPages:
    """Read the sample fleet as often as it takes for so many units."""
    header, *rows = (SAMPLES / "fleet_history.csv").read_text(encoding="utf-8").splitlines()
    units = {row.split(",")[1] for row in rows} - {""}
    written = [row for row in rows if not row.split(",")[1]]
    for copy in range(-(-pages // len(units))):
        for row in rows:
            number, unit, rest = row.split(",", 2)
            if unit:
                written.append(f"{number}-{copy},{unit}-{copy},{rest}")
    file = folder / "fleet.csv"
    file.write_text("\n".join([header, *written, ""]), encoding="utf-8")
    events = read_events(SAMPLES / "events.csv")
    return UnitPages.of(check(read_results(file), events=events), events)


def pages_ahead() -> UnitPages:
    """Forecast the sample fleet: pages with what is ahead, curves and bands drawn."""
    events = read_events(SAMPLES / "events.csv")
    found = fleet(forecast(read_results(SAMPLES / "fleet_history.csv"), events))
    return UnitPages.of(found.assessment, events, Outlooks.of(found))


def measure(of_units: UnitPages, pages: int) -> None:
    """Make so many pages and print the ratio."""
    write_unit_page(of_units.page(0))
    bare_figure()
    # Wall and processor time [s] of pages and of bare figures.
    page_time, bare_time = np.zeros(2), np.zeros(2)
    with timed(page_time):
        of_units.prepare(np.arange(pages))
    charts, largest = 0, 0
    for k in range(pages):
        with timed(page_time):
            page = of_units.page(k)
            text = write_unit_page(page)
        drawn = (page.readings is not None) + len(page.histories)
        drawn += 0 if page.outlook is None else len(page.outlook.charts)
        with timed(bare_time):
            for _ in range(drawn):
                bare_figure()
        charts += drawn
        largest = max(largest, len(text.encode()))
    sys.stdout.write(
        f"{pages:,} pages with {charts:,} charts; largest page {largest / 1000:.0f} kB\n"
    )
    for name, ours, bare in zip(("wall", "processor"), page_time, bare_time, strict=True):
        limit = A_CHART * bare + A_PAGE * pages
        sys.stdout.write(
            f"  {name:9} {1000 * ours / pages:6.1f} ms a page, {1000 * bare / charts:5.1f} ms a "
            f"bare figure, used {100 * ours / limit:3.0f} % of the limit\n"
        )


def main(pages: int) -> None:
    """Measure pages of a check, then those of a forecast."""
    with tempfile.TemporaryDirectory() as folder:
        of_units = many_units(pages, Path(folder))
    measure(of_units, pages)
    ahead = pages_ahead()
    sys.stdout.write("with what is ahead: ")
    measure(ahead, len(ahead.units.unit_ids))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else PAGES)
