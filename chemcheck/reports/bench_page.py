"""What a bench calculator says, before it is written: one record for all of them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from chemcheck.limit_library.records import LimitSet
from chemcheck.remedies.estimate import Estimate


@dataclass(frozen=True, slots=True)
class Quantity:
    """One number of an answer.

    Parameters
    ----------
    key : str
        Its key in JSON and CSV.
    title : str
        The words a person reads.
    estimate : Estimate
        Value and interval of one system; NaN where there is none.
    unit : str
        As a person reads it; the key says the same.
    shown : bool
        Whether the text's table shows it.
    """

    key: str
    title: str
    estimate: Estimate
    unit: str
    shown: bool = True


@dataclass(frozen=True, slots=True)
class BenchTable:
    """A table under a heading.

    Parameters
    ----------
    title : str
        The heading.
    columns : tuple of str
        Heads of the columns.
    rows : tuple of tuple of str
        The cells.
    numeric : tuple of int
        Positions of the columns of numbers.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numeric: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class BenchPage:
    """A whole answer of a bench calculator.

    Parameters
    ----------
    command : str
        Which calculator.
    sentence : str
        The answer.
    quantities : tuple of Quantity
        Its numbers, in the order of reading.
    tables : tuple of BenchTable
        What else is worth a table.
    to_do : tuple of str
        What to do, in the order of doing it.
    questions : tuple of str
        What does not agree, or has to be asked.
    sources : tuple of str
        Where the numbers are from, and how well they are known.
    assumptions : tuple of str
        What was assumed.
    cautions : tuple of str
        Keys of the cautions that apply.
    limit_sets : tuple of LimitSet
        Those in use.
    details : mapping
        What JSON says besides.
    """

    command: str
    sentence: str
    quantities: tuple[Quantity, ...]
    tables: tuple[BenchTable, ...] = ()
    to_do: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    limit_sets: tuple[LimitSet, ...] = ()
    details: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))
