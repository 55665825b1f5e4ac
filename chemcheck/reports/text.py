"""A report as plain text, 80 columns wide."""

from collections.abc import Sequence

from chemcheck.reports.document import Document, Finding, OverviewLine
from chemcheck.reports.text_layout import bullets, heading, paragraph, table, visible

COLUMNS = ("what", "reading", "unit", "bound", "margin", "state", "source")
OVERVIEW = ("sample", "verdict", "because", "what to do")


def write_text(document: Document) -> str:
    r"""Return a report as text.

    Sources are numbered in the tables and written out once, under a heading of their own.

    Parameters
    ----------
    document : Document
        What to say.

    Returns
    -------
    str
        Lines of at most 80 columns where words allow it, ended by a newline. Control
        characters from an input are written as escapes.

    Examples
    --------
    >>> empty = Document("check", "Judged against: none", "No sample.", (), (), (), "", ())
    >>> write_text(empty)
    'Judged against: none\n\nNo sample.\n'
    """
    sources = {source: number for number, source in enumerate(document.sources, start=1)}
    parts = [paragraph(document.in_use), paragraph(document.sentence)]
    if document.counts:
        parts.append("\n".join(map(paragraph, document.counts)))
    if document.overview:
        rows = [
            (one.name, one.verdict, _with_references(one, sources), one.disposition)
            for one in document.overview
        ]
        parts.append(table(OVERVIEW, rows))
    for finding in document.findings:
        parts.extend(_finding(finding, sources, alone=len(document.findings) == 1))
    if document.cut:
        parts.append(paragraph(document.cut))
    if sources:
        numbered = [paragraph(source, f"[{number}] ", "    ") for source, number in sources.items()]
        parts.append("\n".join([heading("Sources"), *numbered]))
    parts.extend(
        f"{heading(section.title)}\n{bullets(section.items)}"
        for section in document.sections
        if section.items
    )
    return visible("\n\n".join(parts) + "\n")


def _finding(finding: Finding, sources: dict[str, int], alone: bool) -> Sequence[str]:
    parts = [heading(finding.name)]
    if not alone:
        parts = [f"{parts[0]}\n{paragraph(finding.sentence)}"]
    if finding.lines:
        rows = [
            (line.quantity, line.reading, line.unit, line.bound, line.margin, line.state,
             _reference(line.source, sources))
            for line in finding.lines
        ]  # fmt: skip
        parts.append(table(COLUMNS, rows))
    if finding.why:
        parts.append("Why it matters\n" + bullets(finding.why))
    if finding.to_do:
        parts.append("What to do\n" + bullets(finding.to_do))
    parts.extend(f"{part.title}\n{bullets(part.items)}" for part in finding.parts if part.items)
    if finding.remarks:
        parts.append("What these readings leave open\n" + bullets(finding.remarks))
    if finding.figures is not None:
        figures = finding.figures
        parts.append(figures.title)
        parts.extend([table(figures.columns, figures.rows)] if figures.rows else [])
        parts.append(bullets(figures.notes))
    return parts


def _with_references(line: OverviewLine, sources: dict[str, int]) -> str:
    references = dict.fromkeys(_reference(source, sources) for source in line.sources)
    return " ".join([line.because, *references]).rstrip()


def _reference(source: str, sources: dict[str, int]) -> str:
    if not source:
        return ""
    return f"[{sources[source]}]"
