"""``chemcheck template``: empty forms to fill in."""

import click

from chemcheck.cli import options
from chemcheck.cli.messages import DONE

EPILOG = """
\b
strip      test strips, drop counts and a refractometer, by hand
lab        laboratory results of coolant, a line a sample
history    samples of units over time, with what was done to them
rinse-log  readings before the first rinse and after each, for rinse --readings
water      water to mix or rinse with
job        what was done to a unit, as YAML, for check --job

\b
Examples:
  chemcheck template strip
  chemcheck template lab --decimal ,
"""
# As the library has them; importing them from there would make every start slow.
NAMES = ("strip", "lab", "history", "rinse-log", "water", "job")


@click.command("template", epilog=EPILOG)
@click.argument("name", type=click.Choice(NAMES), metavar="NAME")
@click.option(
    "--decimal",
    type=click.Choice(options.DECIMAL_MARKS),
    default=".",
    show_default=True,
    help="Decimal mark; with a comma, columns are parted by semicolons.",
)
def command(name: str, decimal: str) -> int:
    """Write an empty form as CSV: titles, units, and one invented line to replace.

    A form that was filled in is read by the other commands as it stands. Columns that are
    not needed may be deleted, and others added ('chemcheck analytes' has their titles).
    """
    from chemcheck.intake.templates import JOB, job_template, template_text

    click.echo(job_template() if name == JOB else template_text(name, decimal), nl=False)
    return DONE
