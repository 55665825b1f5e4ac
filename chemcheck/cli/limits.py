"""``chemcheck limits``: the library of limit sets, and a user's own file checked."""

from typing import TYPE_CHECKING

import click

from chemcheck.cli import options
from chemcheck.cli.messages import DONE

if TYPE_CHECKING:
    from chemcheck.limit_library.cause_records import Signature
    from chemcheck.limit_library.records import LimitSet

EPILOG = """
\b
Example:
  chemcheck limits show fill_water_default
"""
LIST_EPILOG = """
\b
Example:
  chemcheck limits list
"""
CHECK_EPILOG = """
\b
Example:
  chemcheck limits check sample_results/own_limits.yaml
"""


@click.group("limits", epilog=EPILOG)
def command() -> int:
    """Show the limit sets with their sources, or check a file of your own.

    A limit is a starting point: the maker's service information wins, and a file of your
    own can extend a set and change single numbers.
    """
    return DONE


@command.command("list", epilog=LIST_EPILOG)
@options.form()
def listed(form: str) -> int:
    """List the limit sets, and which is in use where none is named."""
    from chemcheck.limit_library import list_sets

    titles = list_sets()
    if form == "json":
        from chemcheck.reports.library_json import list_document, to_text

        said = to_text(list_document(titles))
    elif form == "csv":
        from chemcheck.reports.library_csv import list_csv

        said = list_csv(titles)
    else:
        from chemcheck.reports.limits_text import write_list

        said = write_list(titles)
    click.echo(said, nl=False)
    return DONE


@command.command("show", epilog=EPILOG)
@click.argument("set_id", metavar="ID_OR_FILE")
@options.form()
def show(set_id: str, form: str) -> int:
    """Show a limit set: every bound, why, who says so and how well that is known.

    The key of a cause, such as combustion_gas_leak, shows its fault signature.
    """
    from chemcheck.limit_library import load_set
    from chemcheck.limit_library.causes import signatures

    cause = signatures().get(set_id)
    said = _written(load_set(set_id), form) if cause is None else _of_cause(cause, form)
    click.echo(said, nl=False)
    return DONE


@command.command("check", epilog=CHECK_EPILOG)
@click.argument("file", type=click.Path(), metavar="FILE")
@options.form()
def check(file: str, form: str) -> int:
    """Check a limit file of your own, and show the set that it makes."""
    from chemcheck.limit_library import check_file

    limit_set = check_file(file)
    if form == "text":
        from chemcheck.reports.limits_text import write_checked

        click.echo(write_checked(limit_set), nl=False)
    else:
        click.echo(_written(limit_set, form), nl=False)
    return DONE


def _of_cause(signature: "Signature", form: str) -> str:
    from chemcheck.reports.signature_text import (
        signature_csv,
        signature_document,
        write_signature,
    )

    if form == "csv":
        return signature_csv(signature)
    if form == "json":
        from chemcheck.reports.library_json import to_text

        return to_text(signature_document(signature))
    return write_signature(signature)


def _written(limit_set: "LimitSet", form: str) -> str:
    if form == "json":
        from chemcheck.reports.library_json import set_document, to_text

        return to_text(set_document(limit_set))
    if form == "csv":
        from chemcheck.reports.library_csv import set_csv

        return set_csv(limit_set)
    from chemcheck.reports.limits_text import write_set

    return write_set(limit_set)
