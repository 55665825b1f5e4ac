"""``chemcheck analytes``: the vocabulary."""

import click

from chemcheck.cli import options
from chemcheck.cli.messages import DONE

EPILOG = """
\b
Example:
  chemcheck analytes silica
  chemcheck analytes --suggest sample_results/lab_wide_comma.csv
"""


@click.command("analytes", epilog=EPILOG)
@click.argument("names", nargs=-1, metavar="[NAME...]")
@click.option(
    "--suggest",
    type=click.Path(allow_dash=True),
    metavar="FILE",
    help="Draft a columns file (--columns of other commands) from what FILE shows.",
)
@options.form()
def command(names: tuple[str, ...], suggest: str | None, form: str) -> int:
    """Show what can be read: names, units, and which titles mean it.

    With NAMEs, as a column's title might say them, all that is known of those. With
    --suggest, what each column of a file was taken for, as a columns file to correct.
    """
    if suggest is not None:
        if names or form != "text":
            problem = "--suggest takes one FILE, and writes YAML"
            raise click.UsageError(problem)
        from chemcheck.intake import suggest_columns

        click.echo(suggest_columns(suggest), nl=False)
        return DONE
    from chemcheck.analytes import analyte, find_analyte, vocabulary
    from chemcheck.errors import not_one_of

    keys = [find_analyte(name) for name in names]
    for name, key in zip(names, keys, strict=True):
        if key is None:
            raise click.UsageError(not_one_of(name, vocabulary(), "analyte"))
    chosen = [analyte(key) for key in dict.fromkeys(keys) if key] or list(vocabulary().values())
    if form == "json":
        from chemcheck.reports.library_json import analytes_document, to_text

        said = to_text(analytes_document(chosen))
    elif form == "csv":
        from chemcheck.reports.library_csv import analytes_csv

        said = analytes_csv(chosen)
    else:
        from chemcheck.reports.analytes_text import write_analyte, write_analytes

        said = "\n".join(map(write_analyte, chosen)) if names else write_analytes(chosen)
    click.echo(said, nl=False)
    return DONE
