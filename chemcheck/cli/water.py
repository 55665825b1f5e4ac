"""``chemcheck water``: fill water, from files or from quantities on the command line."""

from pathlib import Path
from typing import Any

import click

from chemcheck.cli import messages, options, water_system

EPILOG = """
A quantity takes its unit in its text, and may be an interval: "18 gpg", "<0.5", "100-250".

\b
Examples:
  chemcheck water sample_results/fill_water.csv
  chemcheck water --ph 7.6 --hardness "310 mg/L" --chloride 85 --sulfate 120 --solids 520
"""

# Option, the column title it stands for, and an example of a value.
QUANTITIES = (
    ("ph", "pH", "7.6"),
    ("hardness", "hardness", "'18 gpg'"),
    ("calcium-hardness", "calcium hardness", "'12 dH'"),
    ("alkalinity", "alkalinity", "'240 mg/L'"),
    ("calcium", "calcium", "96"),
    ("magnesium", "magnesium", "17"),
    ("sodium", "sodium", "25"),
    ("potassium", "potassium", "2"),
    ("chloride", "chloride", "85"),
    ("sulfate", "sulfate", "120"),
    ("nitrate", "nitrate", "20"),
    ("fluoride", "fluoride", "0.2"),
    ("silica", "silica", "11"),
    ("iron", "iron", "<0.02"),
    ("manganese", "manganese", "<0.01"),
    ("conductivity", "conductivity", "'812 uS/cm'"),
    ("solids", "total dissolved solids", "454"),
    ("temperature", "water temperature", "'15 C'"),
)
GIVEN = "options"


def quantities(command: options.Command) -> options.Command:
    """Add an option for each quantity."""
    for name, title, example in reversed(QUANTITIES):
        add = click.option(f"--{name}", metavar="TEXT", help=f"{title}, such as {example}.")
        command = add(command)
    return command


@click.command("water", epilog=EPILOG)
@options.files(required=False)
@quantities
@click.option("--name", metavar="TEXT", help="A name for the water given by quantities.")
@click.option("--method", metavar="TEXT", help="How the quantities were measured, such as strip.")
@click.option(
    "--temperatures",
    metavar="LIST",
    help="What scale figures are asked for: cold (as sampled), film, or temperatures with commas "
    "between, deg C unless they say F. By default cold, 25, 60, 90, film.",
)
@click.option(
    "--film-temperature",
    metavar="TEXT",
    help="Of the water on a hot wall, such as '118 C'; 110 C by default.",
)
@water_system.system_options
@options.reading()
@options.material()
@options.limits()
@options.events()
@options.output()
@options.plots()
def command(
    files: tuple[str, ...],
    name: str | None,
    method: str | None,
    temperatures: str | None,
    film_temperature: str | None,
    columns: str | None,
    decimal: str | None,
    date_order: str | None,
    material: str | None,
    technology: str | None,
    limit_sets: tuple[str, ...],
    rule: str,
    events: str | None,
    form: str,
    out: Path | None,
    all_results: bool,
    fail_on: str | None,
    plots: Path | None,
    plots_form: str,
    **given: Any,
) -> int:
    """Say whether water may be mixed with coolant concentrate, and how to cure it.

    Reads results from FILEs ('-' is standard input), or takes one water's quantities as
    options. Hardness is held against calcium and magnesium, dissolved solids against
    conductivity; the share of tap water that meets every bound when deionised water makes
    up the rest is reckoned. Scale and corrosion figures say what the water does by itself:
    as sampled, heated closed and vented to air. Rows that do not say what they are count as
    water.
    """
    system = water_system.taken(given)
    titles = {option.replace("-", "_"): title for option, title, _ in QUANTITIES}
    values = {titles[key]: text for key, text in given.items() if text is not None}
    if bool(files) == bool(values):
        problem = (
            "give either files or quantities"
            if files
            else "give files, or quantities such as --ph 7.6"
        )
        raise click.UsageError(problem)
    from chemcheck.assessment.index_temperatures import index_temperatures
    from chemcheck.assessment.water import water
    from chemcheck.intake.events import read_events

    asked = index_temperatures(temperatures, film_temperature)
    if files:
        from chemcheck.intake.read import read_results

        readings = read_results(
            files,
            columns,
            decimal=decimal,
            date_order=date_order,
            material=material or "water",
            technology=technology,
        )
    else:
        from chemcheck.intake.quantities import read_quantities

        readings = read_quantities(
            values, name=GIVEN, material="water", sample_id=name, method=method, decimal=decimal
        )
    log = None if events is None else read_events(events, decimal=decimal, order=date_order)
    answer = water(
        readings,
        limit_sets or None,
        rule=rule,
        events=log,
        temperatures=asked,
        system=system,
    )
    if out is not None:
        from chemcheck.reports.folders import write_water_folder

        write_water_folder(answer, out, all_results=all_results)
    else:
        from chemcheck.reports.streams import write_water

        write_water(answer, form, all_results=all_results)
    if plots is not None:
        from chemcheck.reports.plots import water_charts, write_charts

        write_charts(water_charts(answer), plots, plots_form, files)
    return messages.finished(answer.assessment, fail_on, out, log)
