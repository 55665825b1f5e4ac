"""``chemcheck blend``: the cheapest mixture of waters that meets every bound."""

from pathlib import Path

import click

from chemcheck.cli import messages, options

EPILOG = """
A source is NAME=FILE, or NAME=READINGS parted by ';' as in "tap=pH=7.6; hardness=310 mg/L". Of a
file with several waters those samples are taken whose unit or number is NAME; of several samples
the worst counts. A number behind the last ':' is the cost of a litre, or with its volume as in
2.40/m3. Water called 'deionised' needs no readings.

\b
Examples:
  chemcheck blend --source "tap=pH=7.6; hardness=18 gpg; Cl=85; SO4=120" --source deionised
  chemcheck blend --source "Upper Quell tap=sample_results/fill_water.csv" --source deionised
"""


@click.command("blend", epilog=EPILOG)
@click.option(
    "--source",
    "sources",
    multiple=True,
    metavar="NAME=FILE_OR_VALUES[:COST]",
    help="A water to mix, and what a litre costs; repeat for each.",
)
@click.option(
    "--shares",
    metavar="TEXT",
    help="A mixture to judge besides: 'tap=40; deionised=60 %'.",
)
@options.reading()
@options.limits()
@options.form()
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Write mixture.csv, summary.json and report.html into this folder.",
)
def command(
    sources: tuple[str, ...],
    shares: str | None,
    columns: str | None,
    decimal: str | None,
    date_order: str | None,
    limit_sets: tuple[str, ...],
    rule: str,
    form: str,
    out: Path | None,
) -> int:
    """Find the cheapest mixture of waters that meets every bound.

    Both sides of every bound of all limit sets are kept, at the unfavourable ends of the
    readings; pH is reckoned by the carbonate equilibrium, closed and open to air, and the
    mixture is judged as a sample would be. Where no mixture will do, the bounds that exclude
    each other are named, and how near one comes.
    """
    from chemcheck.assessment.blend import blend
    from chemcheck.assessment.blend_sources import read_waters
    from chemcheck.remedies.source_text import read_shares, read_source
    from chemcheck.reports.blend_output import print_blend, write_blend_folder

    waters = read_waters(
        [read_source(text, "--source") for text in sources],
        columns=columns,
        decimal=decimal,
        date_order=date_order,
    )
    answer = blend(
        waters,
        list(limit_sets) or None,
        rule=rule,
        shares=None if shares is None else read_shares(shares, "--shares"),
    )
    if out is not None:
        files = [file.name for read in waters.taken for file in read.files]
        write_blend_folder(answer, out, files)
    else:
        print_blend(answer, form)
    return max([messages.lost(read, None, None) for read in waters.taken], default=messages.DONE)
