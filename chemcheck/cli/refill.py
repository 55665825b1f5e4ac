"""``chemcheck refill``: litres to drain and to fill."""

from typing import TYPE_CHECKING

import click

from chemcheck.cli import options
from chemcheck.cli.messages import DONE
from chemcheck.cli.quantities import SHARE, SHARE_OF_A_MIX, SHARES, VOLUME

if TYPE_CHECKING:
    from chemcheck.remedies.estimate import Estimate

EPILOG = """
Every quantity takes its unit in its text and may be a range: "12 L", "8-9 L", "45-50 %".

\b
Examples:
  chemcheck refill --system "12 L" --drains "8 L" --target "50 %"
  chemcheck refill --system "10 L" --current "35 %" --target "50 %" --concentrate "93 %"
"""


@click.command("refill", epilog=EPILOG)
@click.option("--system", type=VOLUME, help="What the whole system holds, such as '12 L'.")
@click.option("--drains", type=VOLUME, help="What comes out, such as '8 L'.")
@click.option("--holds", type=VOLUME, help="What stays inside, such as '4 L'.")
@click.option("--target", type=SHARE_OF_A_MIX, required=True, help="Wanted, such as '50 %'.")
@click.option("--concentrate", type=SHARE_OF_A_MIX, help="Its strength; 100 % if not said.")
@click.option("--premix", type=SHARE_OF_A_MIX, help="Fill ready mix of this percent.")
@click.option("--current", type=SHARE, help="Inside now; rinse water, 0 %, if not said.")
@click.option(
    "--readings",
    type=SHARES,
    help="Before draining, and mixed again after filling with water what came out: '50; 16.7 %'.",
)
@click.option(
    "--way",
    type=click.Choice(["change", "adjust"]),
    help="Drain all that drains, or only what has to go.",
)
@options.form()
def command(form: str, readings: "tuple[Estimate, ...] | None", **given: "Estimate | None") -> int:
    """Reckon litres to drain, of concentrate and of water.

    What stays inside after draining is counted, rinse water too. Without --current the
    system was flushed, and all that drains is drained; with it only as much is drained as
    has to go.
    """
    from chemcheck.assessment.refill import refill
    from chemcheck.reports.bench_text import WRITERS
    from chemcheck.reports.refill_page import refill_page

    if readings is not None and len(readings) != 2:
        problem = "--readings takes two: before draining, and mixed again after filling up"
        raise click.UsageError(problem)
    answer = refill(
        readings=None if readings is None else (readings[0], readings[1]),
        strength=given.pop("concentrate"),
        **given,  # type: ignore[arg-type]  # click hands on the options by their names
    )
    click.echo(WRITERS[form](refill_page(answer)), nl=False)
    return DONE
