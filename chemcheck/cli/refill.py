"""``chemcheck refill``: litres to drain and to fill."""

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from chemcheck.cli import options
from chemcheck.cli.messages import DONE
from chemcheck.cli.quantities import NAMED_LEVEL, SHARE, SHARE_OF_A_MIX, SHARES, VOLUME

if TYPE_CHECKING:
    from chemcheck.remedies.estimate import Estimate

EPILOG = """
Every quantity takes its unit in its text and may be a range: "12 L", "8-9 L", "45-50 %".

\b
Examples:
  chemcheck refill --system "12 L" --drains "8 L" --target "50 %"
  chemcheck refill --system "10 L" --current "35 %" --target "50 %" --concentrate "93 %"
"""


def reference(command: options.Command) -> options.Command:
    """Say where the expected fill is written, and what it is reckoned from."""
    for add in (
        click.option(
            "--inside-water",
            type=NAMED_LEVEL,
            multiple=True,
            help="Of the rinse water that stays inside.",
        ),
        click.option(
            "--water",
            type=NAMED_LEVEL,
            multiple=True,
            help="Of the water filled, as 'chloride=12 mg/L'; else deionised.",
        ),
        click.option("--old", type=click.Path(), metavar="FILE", help="Results of what stays."),
        click.option("--coolant-sample", metavar="ID", help="Which sample of --coolant."),
        click.option(
            "--coolant", type=click.Path(), metavar="FILE", help="Results of the new coolant."
        ),
        click.option(
            "--filled-on", type=click.DateTime(["%Y-%m-%d"]), help="Day of the refill; today."
        ),
        click.option("--unit", "unit_id", metavar="ID", help="The unit that is refilled."),
        click.option(
            "--reference",
            type=click.Path(path_type=Path),
            metavar="FILE",
            help="Write the expected fill as a CSV that 'check' reads.",
        ),
    ):
        command = add(command)
    return command


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
@reference
@options.form()
def command(
    form: str,
    readings: "tuple[Estimate, ...] | None",
    reference: Path | None,
    unit_id: str | None,
    filled_on: datetime | None,
    coolant: str | None,
    coolant_sample: str | None,
    old: str | None,
    water: "tuple[tuple[str, Estimate], ...]",
    inside_water: "tuple[tuple[str, Estimate], ...]",
    **given: "Estimate | None",
) -> int:
    """Reckon litres to drain, of concentrate and of water.

    What stays inside after draining is counted, rinse water too. Without --current the
    system was flushed, and all that drains is drained; with it only as much is drained as
    has to go. With --reference the finished fill's expected levels, by the results of the new
    coolant, are written as a row that 'check' takes as the unit's fresh fill; the first real
    sample is compared with it.
    """
    from chemcheck.assessment.expected_fill import judge_finished
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
    if (reference is None) != (coolant is None):
        problem = "--reference takes the results of the new coolant: --coolant, and the other way"
        raise click.UsageError(problem)
    expected = None
    if reference is not None and coolant is not None:
        from chemcheck.assessment.expected_fill import expected_fill
        from chemcheck.intake.read import read_results
        from chemcheck.reports.expected_fill_csv import write_expected_fill

        if unit_id is None:
            problem = "--reference is the fill of one unit: name it with --unit"
            raise click.UsageError(problem)
        expected = expected_fill(
            answer,
            read_results(coolant, material="coolant"),
            sample_id=coolant_sample,
            water=dict(water),
            inside_water=dict(inside_water),
            old=None if old is None else read_results(old, material="coolant"),
        )
        day = date.today() if filled_on is None else filled_on.date()
        write_expected_fill(expected, reference, unit_id, day)
    page = refill_page(answer, expected, judge_finished(answer, expected))
    click.echo(WRITERS[form](page), nl=False)
    return DONE
