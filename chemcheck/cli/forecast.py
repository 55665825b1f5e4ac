"""The command that says when each unit reaches which bound."""

from pathlib import Path

import click

from chemcheck.cli import messages, options

AXES = ("hours", "distance", "days")


@click.command(
    "forecast",
    epilog="\b\nExample:\n  chemcheck forecast sample_results/fleet_history.csv "
    "--events sample_results/events.csv",
)
@options.files(required=True)
@options.reading()
@options.material()
@options.limit_sets()
@options.events()
@click.option(
    "--axis",
    type=click.Choice(AXES),
    help="What to count in: hours if the files have them, else distance, else days.",
)
@click.option(
    "--risk",
    type=click.FloatRange(0, 1, min_open=True, max_open=True),
    help="Chance, by the change date, of having passed a bound already [0.1].",
)
@click.option(
    "--lead-time",
    type=click.FloatRange(0),
    help="Days from drawing a sample to work done on the unit [14].",
)
@click.option(
    "--accept-suggestions",
    is_flag=True,
    help="Take events that the readings suggest as logged (a change begins a new fill), and leave "
    "out samples that do not look like their unit.",
)
@click.option(
    "--tracer",
    metavar="ANALYTE",
    help="An inert analyte that no top-up brings: what it falls by more than glycol is premix.",
)
@click.option(
    "--hold-out",
    multiple=True,
    metavar="ROW",
    help="Leave out this row, as a spreadsheet numbers it, or FILE:ROW; may be repeated.",
)
@click.option(
    "--backtest",
    "backtested",
    is_flag=True,
    help="Also foresee past readings from earlier days, and score that against plain ways.",
)
@options.form()
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Write units.csv, crossings.csv, forecast.json and report.html into this folder.",
)
@options.unit()
@options.plots()
def command(
    files: tuple[str, ...],
    columns: str | None,
    decimal: str | None,
    date_order: str | None,
    material: str | None,
    technology: str | None,
    limit_sets: tuple[str, ...],
    events: str | None,
    axis: str | None,
    risk: float | None,
    lead_time: float | None,
    accept_suggestions: bool,
    tracer: str | None,
    hold_out: tuple[str, ...],
    backtested: bool,
    form: str,
    out: Path | None,
    unit: str | None,
    all_pages: bool,
    plots: Path | None,
    plots_form: str,
) -> int:
    """Forecast when each unit's coolant first passes each bound.

    Fills are told apart by the changes in the files or in the log of events. The units of
    one technology are fitted together. A crossing is given as the axis since the fill by
    which the bound is passed with a chance of 10, 50 and 90 percent.

    With --out DIR: report.html, the fleet's page, with a page for each unit that is unfit,
    undecided or due; units.csv, crossings.csv, bounds.csv (whether each bound is right for this
    fleet), rejected.csv, forecast.json, check.json, interval.json, and with --backtest
    backtest.csv.
    """
    if unit is not None and out is None:
        problem = "--unit makes a page: say where with --out"
        raise click.UsageError(problem)
    from chemcheck.analytes import find_analyte
    from chemcheck.assessment.backtest import backtest
    from chemcheck.assessment.bound_evidence import bound_evidence
    from chemcheck.assessment.forecast import forecast
    from chemcheck.assessment.forecast_settings import ForecastSettings
    from chemcheck.intake.events import read_events
    from chemcheck.intake.read import read_results
    from chemcheck.reports.forecast_output import (
        forecast_charts,
        print_forecast,
        write_forecast_folder,
    )

    settings = ForecastSettings.from_library(risk=risk, lead_time=lead_time)
    readings = read_results(
        files,
        columns,
        decimal=decimal,
        date_order=date_order,
        material=material,
        technology=technology,
    )
    log = None if events is None else read_events(events, decimal=decimal, order=date_order)
    answer = forecast(
        readings,
        log,
        limits=limit_sets,
        axis=axis,
        settings=settings,
        accept_suggestions=accept_suggestions,
        tracer=None if tracer is None else find_analyte(tracer) or tracer,
        hold_out=hold_out,
    )
    evidence = bound_evidence(answer)
    tested = backtest(answer) if backtested else None
    if out is not None:
        from chemcheck.assessment.fleet import fleet

        write_forecast_folder(
            fleet(answer, tested, limit_sets, evidence), out, all_pages=all_pages, unit=unit
        )
    else:
        print_forecast(answer, form, tested, evidence)
    if plots is not None:
        from chemcheck.reports.plots import write_charts

        write_charts(forecast_charts(answer, tested), plots, plots_form, files)
    return messages.lost(readings, log, out)
