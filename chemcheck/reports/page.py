"""A report as one HTML page that needs nothing beside itself, and that prints."""

from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template

from chemcheck.reports.document import Document
from chemcheck.reports.text import COLUMNS, OVERVIEW
from chemcheck.reports.text_layout import visible

TEMPLATES = Path(__file__).parent / "templates"


def write_page(document: Document) -> str:
    """Return a report as an HTML page.

    Every text from an input is escaped: what looks like markup in a file is shown, never
    obeyed. The page loads nothing and runs no script.

    Parameters
    ----------
    document : Document
        What to say.

    Returns
    -------
    str
        The page.

    Examples
    --------
    >>> page = write_page(Document("Check page", "<set>", "No sample.", (), (), (), "", ()))
    >>> "<p>&lt;set&gt;</p>" in page
    True
    """
    return _template("page.html").render(page=document, columns=COLUMNS, overview_columns=OVERVIEW)


@cache
def _template(name: str) -> Template:
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        finalize=_visible,
        undefined=StrictUndefined,
    )
    return environment.get_template(name)


def _visible(value: object) -> object:
    """Write out what would hide or turn text around it."""
    return visible(value) if isinstance(value, str) else value
