"""``chemcheck rinse``: how often, proof, and which must be deionised."""

from typing import TYPE_CHECKING

import click

from chemcheck.cli import options
from chemcheck.cli.messages import DONE
from chemcheck.cli.quantities import (
    EFFICIENCY,
    NAMED_LEVEL,
    RINSE_READING,
    RINSE_READINGS,
    SHARE,
    SHARE_OF_A_MIX,
    VOLUME,
)

if TYPE_CHECKING:
    from chemcheck.remedies.estimate import Estimate
    from chemcheck.remedies.rinse_text import RinseReadings

EPILOG = """
Every quantity takes its unit in its text and may be a range: "12 L", "8-9 L".

\b
Examples:
  chemcheck rinse --system "12 L" --drains "8 L"
  chemcheck rinse --system "12 L" --drains "8 L" --readings "50; 17; 6; 2 %"
  chemcheck rinse --system "12 L" --drains "8 L" --tap "hardness=310 mg/L"
"""


@click.command("rinse", epilog=EPILOG)
@click.option("--system", type=VOLUME, required=True, help="What the whole system holds.")
@click.option("--drains", type=VOLUME, required=True, help="What comes out each time.")
@click.option("--target", type=SHARE, help="Of the old fill, left at most; 1 % if not said.")
@click.option("--efficiency", type=EFFICIENCY, help="Of mixing; perfect, 1, if not said.")
@click.option(
    "--readings",
    type=RINSE_READINGS,
    help="Glycol or conductivity before the first rinse and after each: '50; 17; 6 %', or a "
    "CSV file (see 'template rinse-log').",
)
@click.option("--water", type=RINSE_READING, help="What the rinse water itself reads: '20 uS/cm'.")
@click.option(
    "--tap",
    type=NAMED_LEVEL,
    multiple=True,
    help="What the tap water holds; repeat for several.",
)
@click.option("--limits", metavar="ID_OR_FILE", help="What the finished fill's water has to meet.")
@click.option("--fill", type=SHARE_OF_A_MIX, help="Percent of the finished fill; 50 % if not said.")
@click.option("--concentrate", type=SHARE_OF_A_MIX, help="Its strength; 100 % if not said.")
@options.form()
def command(
    system: "Estimate",
    drains: "Estimate",
    target: "Estimate | None",
    efficiency: "Estimate | None",
    readings: "RinseReadings | None",
    water: "tuple[str, Estimate] | None",
    tap: "tuple[tuple[str, Estimate], ...]",
    limits: str | None,
    fill: "Estimate | None",
    concentrate: "Estimate | None",
    form: str,
) -> int:
    """Reckon rinses to a residue, and prove them by what was measured.

    Each rinse fills, warms up, mixes and drains. With --readings the fall is fitted and held
    against dilution; with --tap it is said which rinses must be of deionised water so that
    the finished fill's water passes.
    """
    from chemcheck.assessment.rinse import rinse
    from chemcheck.remedies.rinse_text import with_rinse_water
    from chemcheck.reports.bench_text import WRITERS
    from chemcheck.reports.rinse_page import rinse_page

    answer = rinse(
        system,
        drains,
        target=target,
        efficiency=efficiency,
        readings=with_rinse_water(readings, water),
        tap=dict(tap),
        limits=limits,
        fill=fill,
        strength=concentrate,
    )
    click.echo(WRITERS[form](rinse_page(answer)), nl=False)
    return DONE
