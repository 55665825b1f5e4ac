"""``chemcheck schema``: what the JSON documents hold."""

import json

import click

from chemcheck.cli.messages import DONE

EPILOG = """
\b
Examples:
  chemcheck schema
  chemcheck schema check
"""


@click.command("schema", epilog=EPILOG)
@click.argument("name", required=False)
def command(name: str | None) -> int:
    """Show what the JSON that other commands write holds, as a JSON Schema.

    NAME is the document's, as its key 'schema' says: 'check' for chemcheck/check/1. Without
    one, the names and what each document is.
    """
    from chemcheck.errors import not_one_of
    from chemcheck.reports.json_schema import documents, json_schema

    if name is None:
        width = max(map(len, documents()))
        for each in documents():
            click.echo(f"{each:{width}}  {json_schema(each)['title']}")
        return DONE
    if name not in documents():
        raise click.UsageError(not_one_of(name, documents(), "document"))
    click.echo(json.dumps(json_schema(name), indent=1, ensure_ascii=False))
    return DONE
