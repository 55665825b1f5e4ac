"""What an evidence page for a warranty file says, before it is written."""

from collections.abc import Mapping
from dataclasses import dataclass

from chemcheck.reports.charts import Chart
from chemcheck.reports.document import Finding, Section
from chemcheck.reports.unit_document import Item


@dataclass(frozen=True, slots=True)
class BeforeAfter:
    """One quantity before the job and after it.

    Parameters
    ----------
    quantity, unit, bound : str
        What was measured, in what, and what is allowed.
    before, after : str
        Readings with their states; empty where there is none.
    methods : str
        How both were measured; empty where nobody said.
    attributes : mapping of str to str
        Data attributes with the same as numbers.
    """

    quantity: str
    unit: str
    bound: str
    before: str
    after: str
    methods: str
    attributes: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class RinseLine:
    """One rinse.

    Parameters
    ----------
    number : int
        Counted from 1.
    filled, drained, reading : str
        As recorded; empty where it was not.
    by_volumes, by_reading : str
        Percent of the old fill that is left; empty where it cannot be reckoned.
    attributes : mapping of str to str
        Data attributes with the same as numbers.
    """

    number: int
    filled: str
    drained: str
    reading: str
    by_volumes: str
    by_reading: str
    attributes: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class EvidencePage:
    """An evidence page; what is empty leaves a line to write on.

    Parameters
    ----------
    title, in_use : str
        The unit, and the limit sets in use.
    identity, tests, parts : tuple of Item
        Who and what, what was found by test, what was fitted.
    complaint : str
        Why the job was done.
    history : tuple of str
        What was done before, as recorded and as logged.
    before, after : str
        Verdicts of both samples with their names; empty where there is none.
    results : tuple of BeforeAfter
        Both samples side by side.
    chart : Chart or None
        The readings after the job.
    volumes : tuple of Item
        System, what drains, what was read before the first rinse.
    rinses : tuple of RinseLine
        The log.
    rinse_words : tuple of str
        What the log proves.
    water : Finding or None
        The water filled, where a sample of it was found.
    water_words : str
        As recorded.
    refill : tuple of Item
        What was filled, what it comes to, and what was measured.
    teardown : tuple of str
        What was found in the old parts.
    not_known : tuple of str
        As recorded, and everything that is blank above.
    signature : tuple of Item
        Who, when.
    sources : tuple of str
        Who says the bounds.
    cautions : tuple of str
        What can hurt people.
    sections : tuple of Section
        Sets and versions, assumptions.
    """

    title: str
    in_use: str
    identity: tuple[Item, ...]
    complaint: str
    history: tuple[str, ...]
    before: str
    after: str
    results: tuple[BeforeAfter, ...]
    chart: Chart | None
    tests: tuple[Item, ...]
    volumes: tuple[Item, ...]
    rinses: tuple[RinseLine, ...]
    rinse_words: tuple[str, ...]
    water: Finding | None
    water_words: str
    refill: tuple[Item, ...]
    teardown: tuple[str, ...]
    parts: tuple[Item, ...]
    not_known: tuple[str, ...]
    signature: tuple[Item, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    sections: tuple[Section, ...]
