"""A report as one HTML page that needs nothing beside itself, and that prints."""

from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from types import MappingProxyType

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template
from markupsafe import Markup

from chemcheck.reports.cause_words import likelihood_words
from chemcheck.reports.charts import Chart, svg_in_page
from chemcheck.reports.document import Document
from chemcheck.reports.evidence_document import EvidencePage
from chemcheck.reports.fleet_document import FleetPage
from chemcheck.reports.text import COLUMNS, OVERVIEW
from chemcheck.reports.text_layout import loosened, visible
from chemcheck.reports.unit_document import UnitLink, UnitPage

TEMPLATES = Path(__file__).parent / "templates"


def write_page(
    document: Document,
    charts: Mapping[int, Chart] = MappingProxyType({}),
    links: Sequence[UnitLink] = (),
    left_out: str = "",
) -> str:
    """Return a report as an HTML page.

    Every text from an input is escaped: what looks like markup in a file is shown, never
    obeyed. The page loads nothing and runs no script.

    Parameters
    ----------
    document : Document
        What to say.
    charts : mapping of int to Chart, optional
        By the position of a finding, the readings that its table says.
    links : sequence of UnitLink
        Pages of units, in the order in which the index names them.
    left_out : str
        What is said of units without a page.

    Returns
    -------
    str
        The page.

    Examples
    --------
    >>> page = write_page(Document("Check page", "<set>", "No sample.", (), (), (), "", ()))
    >>> ">&lt;set&gt;</p>" in page
    True
    """
    return _template("page.html").render(
        page=document,
        columns=COLUMNS,
        overview_columns=OVERVIEW,
        charts=charts,
        links=links,
        left_out=left_out,
    )


def write_unit_page(page: UnitPage) -> str:
    """Return a unit's page; see `write_page`.

    Parameters
    ----------
    page : UnitPage
        What to say.
    """
    return _template("unit.html").render(page=page, columns=COLUMNS)


def write_fleet_page(page: FleetPage) -> str:
    """Return a fleet's page; see `write_page`.

    Parameters
    ----------
    page : FleetPage
        What to say.
    """
    return _template("fleet.html").render(page=page, columns=COLUMNS)


def write_evidence_page(page: EvidencePage) -> str:
    """Return an evidence page; see `write_page`.

    Parameters
    ----------
    page : EvidencePage
        What to say.
    """
    return _template("evidence.html").render(page=page, columns=COLUMNS)


@cache
def _template(name: str) -> Template:
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        finalize=_visible,
        undefined=StrictUndefined,
    )
    environment.globals["drawn"] = _drawn
    # In a narrow column what is held together would be cut.
    environment.filters["loosened"] = loosened
    environment.filters["likelihood"] = likelihood_words
    return environment.get_template(name)


def _drawn(chart: Chart) -> Markup:
    """Draw a chart; every text in it was escaped when it was drawn."""
    return Markup(svg_in_page(chart))


def _visible(value: object) -> object:
    """Write out what would hide or turn text around it; markup of our own stays."""
    is_text = isinstance(value, str) and not isinstance(value, Markup)
    return visible(str(value)) if is_text else value
