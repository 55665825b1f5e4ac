"""``chemcheck dose``: additive to a target."""

from typing import TYPE_CHECKING

import click

from chemcheck.cli import options
from chemcheck.cli.messages import DONE
from chemcheck.cli.quantities import VOLUME

if TYPE_CHECKING:
    from chemcheck.remedies.estimate import Estimate

EPILOG = """
Every quantity takes its unit in its text and may be a range: "40 L", "550-650 mg/L".

\b
Example:
  chemcheck dose --system "40 L" --now "600 mg/L" --target "1200 mg/L" --strength "60 g/L"
"""


@click.command("dose", epilog=EPILOG)
@click.option("--system", type=VOLUME, required=True, help="Volume of the coolant.")
@click.option("--component", default="nitrite", show_default=True, help="What is dosed.")
@click.option("--now", metavar="LEVEL", required=True, help="Its level in the coolant.")
@click.option("--target", metavar="LEVEL", required=True, help="Its level wanted.")
@click.option("--strength", metavar="LEVEL", help="Its level in the additive, as '60 g/L'.")
@click.option("--most", metavar="LEVEL", help="Its upper bound, if not the limit set's.")
@click.option(
    "--also",
    multiple=True,
    metavar="NAME=NOW;STRENGTH",
    help="Another component of the additive; repeat for several.",
)
@click.option("--per-unit", type=VOLUME, help="Additive of one additive unit, by its label.")
@click.option("--hardness", metavar="LEVEL", help="Hardness of the coolant.")
@click.option("--technology", metavar="NAME", help="The coolant's (see 'limits list').")
@click.option("--limits", metavar="ID_OR_FILE", help="A limit set with the upper bounds.")
@options.form()
def command(
    system: "Estimate",
    component: str,
    now: str,
    target: str,
    strength: str | None,
    most: str | None,
    also: tuple[str, ...],
    per_unit: "Estimate | None",
    hardness: str | None,
    technology: str | None,
    limits: str | None,
    form: str,
) -> int:
    """Reckon how much additive brings a component to its target.

    The upper bound of every component is kept, by the limit set of the coolant's technology,
    and what the dose comes to is judged as a sample that held it would be.
    An additive that counts in units per gallon takes the factor of its own label.
    """
    from chemcheck.assessment.dose import dose, judge_dose
    from chemcheck.remedies.component_text import read_component, read_further_component
    from chemcheck.remedies.level_text import read_level
    from chemcheck.reports.bench_text import WRITERS
    from chemcheck.reports.dose_page import dose_page

    first = read_component(component, now, strength, most)
    answer = dose(
        system,
        read_level(target, "--target", first.analyte),
        [first, *(read_further_component(one, "--also") for one in also)],
        technology=technology,
        limits=limits,
        hardness=None if hardness is None else read_level(hardness, "--hardness", "total_hardness"),
        volume_per_unit=per_unit,
    )
    page = dose_page(answer, judge_dose(answer, technology, limits))
    click.echo(WRITERS[form](page), nl=False)
    return DONE
