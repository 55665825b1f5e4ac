"""``chemcheck check``: every sample of the files judged."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from chemcheck.cli import messages, options
from chemcheck.cli.imports import imported_meanwhile
from chemcheck.cli.quantities import NAMED_LEVEL, VOLUME

if TYPE_CHECKING:
    from chemcheck.remedies.estimate import Estimate

EPILOG = """
\b
Examples:
  chemcheck check sample_results/lab_wide.csv
  chemcheck check sample_results/lab_wide.csv --out answer --fail-on unfit
  chemcheck check sample_results/fleet_history.csv --unit WL-02 --out page --plots charts
"""


def system_volumes(command: options.Command) -> options.Command:
    """Say how large the systems are, and what they were topped up with."""
    for add in (
        click.option(
            "--top-up-water",
            type=NAMED_LEVEL,
            multiple=True,
            help="Of the tap water topped up, as 'chloride=85 mg/L'; else by the files' waters.",
        ),
        click.option("--drains", type=VOLUME, help="How much of it drains, if no column says."),
        click.option("--system", type=VOLUME, help="Volume of the system, if no column says."),
    ):
        command = add(command)
    return command


@click.command("check", epilog=EPILOG)
@options.files(required=True)
@options.reading()
@options.material()
@options.limits()
@options.events()
@options.observations()
@system_volumes
@options.output()
@options.unit()
@click.option(
    "--job",
    "job_file",
    type=click.Path(),
    metavar="FILE",
    help="What was done to the unit, as YAML ('template job'): with --out an evidence page.",
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
    observations: str | None,
    system: "Estimate | None",
    drains: "Estimate | None",
    top_up_water: "tuple[tuple[str, Estimate], ...]",
    form: str,
    out: Path | None,
    all_results: bool,
    fail_on: str | None,
    unit: str | None,
    all_pages: bool,
    job_file: str | None,
    plots: Path | None,
    plots_form: str,
) -> int:
    """Judge every sample of the FILEs against sourced limits ('-' is standard input).

    With --out DIR: verdicts.csv (a row per sample), results.csv (every result not plainly
    inside), causes.csv (every cause raised), rejected.csv, questions.csv, summary.json and
    report.html: the page of the one unit, or an index with a page for each unit that is unfit
    or undecided. With --job also evidence.html, for a warranty file.
    """
    if unit is not None and out is None and form != "text":
        problem = f"--unit goes with text or with --out; --format {form} writes all samples"
        raise click.UsageError(problem)
    if job_file is not None and out is None:
        problem = "--job makes an evidence page: say where with --out"
        raise click.UsageError(problem)
    from chemcheck.intake.events import read_events
    from chemcheck.intake.read import read_results

    output = "chemcheck.reports.streams" if out is None else "chemcheck.reports.folders"
    with imported_meanwhile("chemcheck.assessment.check", output):
        readings = read_results(
            files,
            columns,
            decimal=decimal,
            date_order=date_order,
            material=material,
            technology=technology,
        )
    if observations is not None:
        from chemcheck.fills.observations import with_observations

        observed = read_results(
            observations, columns, decimal=decimal, date_order=date_order, material="coolant"
        )
        readings = with_observations(readings, observed)
    log = None if events is None else read_events(events, decimal=decimal, order=date_order)
    from chemcheck.assessment.check import check

    answer = check(
        readings,
        limit_sets or None,
        rule=rule,
        events=log,
        system=system,
        drains=drains,
        top_up_water=dict(top_up_water),
    )
    if out is not None:
        from chemcheck.reports.folders import PageChoice, write_check_folder

        job = None
        if job_file is not None:
            from chemcheck.assessment.job_record import read_job

            job = read_job(job_file)
        pages = PageChoice(log, unit, all_pages, job)
        write_check_folder(answer, out, all_results=all_results, pages=pages)
    else:
        from chemcheck.reports.streams import write_check

        write_check(answer, form, all_results=all_results, unit=unit)
    if plots is not None:
        from chemcheck.reports.plots import check_charts, write_charts

        write_charts(check_charts(answer, log, unit, all_units=all_pages), plots, plots_form, files)
    return messages.finished(answer, fail_on, out, log)
