"""The command that says how long a fleet may run between changes."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from chemcheck.cli import messages, options
from chemcheck.errors import ChemcheckError

AXES = ("hours", "distance", "days")


@click.command(
    "interval",
    epilog="\b\nExamples:\n  chemcheck interval sample_results/fleet_history.csv "
    "--events sample_results/events.csv\n"
    "  chemcheck interval sample_results/fleet_history.csv --planned-cost 300 "
    "--failure-cost 9000 --delay 1500",
)
@options.files(required=True)
@options.reading()
@options.material()
@options.limit_sets()
@click.option(
    "--rule",
    type=click.Choice(options.RULES),
    default="simple",
    show_default=True,
    help="When a sample has passed a bound; with 'overlap' only where that is sure.",
)
@options.events()
@click.option(
    "--group",
    "grouping",
    default="technology",
    show_default=True,
    metavar="TITLE",
    help="Tune apart by technology, or by a column such as duty or water source.",
)
@click.option(
    "--axis",
    type=click.Choice(AXES),
    help="What to count in: hours if the files have them, else distance, else days.",
)
@click.option("--risk", type=float, help="Chance of having passed a bound when changed [0.1].")
@click.option("--lead-time", type=float, help="Days from the decision to work done [14].")
@click.option("--planned-cost", type=float, help="Cost of a planned change.")
@click.option("--failure-cost", type=float, help="Cost of damage, with all that follows.")
@click.option(
    "--delay",
    type=float,
    help="Mean time from crossing a bound to damage, on the axis; cost cannot be told without.",
)
@click.option("--correction-cost", type=float, help="Cost of a crossing that a sample caught.")
@click.option("--sample-cost", type=float, help="Cost of one sample with its analysis.")
@options.form()
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Write groups.csv, rejected.csv, interval.json, interval.txt and report.html.",
)
@options.plots()
def command(
    files: tuple[str, ...],
    columns: str | None,
    decimal: str | None,
    date_order: str | None,
    material: str | None,
    technology: str | None,
    limit_sets: tuple[str, ...],
    rule: str,
    events: str | None,
    grouping: str,
    axis: str | None,
    form: str,
    out: Path | None,
    plots: Path | None,
    plots_form: str,
    **chosen: float | None,
) -> int:
    """Find the change interval of each group, by risk and by cost.

    A fill's life ends where a sample first passes any action bound. Groups get intervals of
    their own only where a test says that they differ. A crossing is not damage: the interval
    of least cost needs the delay from one to the other.

    With --correction-cost and --sample-cost it is said what sampling saves over changing by
    age.
    """
    from chemcheck.assessment.interval import change_intervals
    from chemcheck.assessment.interval_settings import IntervalSettings
    from chemcheck.intake.events import read_events
    from chemcheck.intake.read import read_results
    from chemcheck.reports.interval_output import print_intervals, write_interval_folder

    with _one_line():
        settings = IntervalSettings.from_library(**chosen)
    readings = read_results(
        files,
        columns,
        decimal=decimal,
        date_order=date_order,
        material=material,
        technology=technology,
    )
    log = None if events is None else read_events(events, decimal=decimal, order=date_order)
    with _one_line():
        answer = change_intervals(
            readings,
            log,
            grouping=grouping,
            limits=limit_sets,
            rule=rule,
            axis=axis,
            settings=settings,
        )
    if out is not None:
        write_interval_folder(answer, out)
    else:
        print_intervals(answer, form)
    if plots is not None:
        from chemcheck.reports.fleet_charts import interval_charts
        from chemcheck.reports.plots import write_charts

        charts = ((chart.name, chart) for chart in interval_charts(answer))
        write_charts(charts, plots, plots_form, files)
    return messages.lost(readings, log, out)


@contextmanager
def _one_line() -> Iterator[None]:
    """Turn a choice that cannot be meant into one line; other errors have theirs already."""
    try:
        yield
    except ChemcheckError:
        raise
    except ValueError as problem:
        raise click.ClickException(str(problem)) from problem
