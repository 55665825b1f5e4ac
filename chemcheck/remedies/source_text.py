"""Waters to mix as a person writes them: a name, what it holds, and what a litre costs."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from chemcheck.errors import QuantityError, UnitError
from chemcheck.remedies.quantity_text import Written
from chemcheck.remedies.share_text import read_share
from chemcheck.units import convert, parse_unit

# The water that needs no readings, by any of its names.
DEIONISED = "deionised"
_DEIONISED_NAMES = frozenset(
    {"deionised", "deionized", "demineralised", "demineralized", "distilled"}
)
_EXAMPLE = "tap=pH=7.6; hardness=310 mg/L; chloride=85; sulfate=120:0.002"
_COST = re.compile(r"(?P<what>.*):\s*(?P<cost>[-+]?\d*[.,]?\d+)\s*(?:/\s*(?P<unit>\w+))?\s*")
_PARTS = re.compile(r"\s*;\s*|,\s*(?=[^\d\s])")


@dataclass(frozen=True, slots=True)
class SourceText:
    """A water to mix, as it was written.

    Parameters
    ----------
    name : str
        What it is called.
    file : str or None
        The file that holds its readings.
    values : mapping of str to str
        Its readings, by what is measured; empty where a file holds them and where it is
        deionised water of which nothing was read.
    cost : float or None
        Of a litre [any unit of money]; None where it was not said.
    """

    name: str
    file: str | None
    values: Mapping[str, str]
    cost: float | None

    @property
    def is_deionised(self) -> bool:
        """Whether its name says that its salts were taken out."""
        return self.name.casefold().removesuffix("water").strip() in _DEIONISED_NAMES

    @property
    def is_assumed(self) -> bool:
        """Whether it is deionised water of which nothing was read."""
        return self.file is None and not self.values


def read_source(text: str, name: str) -> SourceText:
    """Read a water to mix: ``NAME=FILE_OR_VALUES[:COST]``.

    Parameters
    ----------
    text : str
        What was written; ``deionised`` needs no readings.
    name : str
        What it is called in an error, such as the option.

    Returns
    -------
    SourceText
        Its file, or its values as texts.

    Raises
    ------
    QuantityError
        Where it is something else, or costs less than nothing.

    Examples
    --------
    >>> tap = read_source("tap=pH=7.6; hardness=310 mg/L; Cl=85:2.40/m3", "--source")
    >>> tap.name, dict(tap.values), tap.cost
    ('tap', {'pH': '7.6', 'hardness': '310 mg/L', 'Cl': '85'}, 0.0024)
    >>> read_source("well=readings.csv", "--source").file
    'readings.csv'
    >>> read_source("deionised:0.5", "--source").is_assumed
    True
    """
    written = Written(text, name, _EXAMPLE)
    rest, cost = _without_cost(written)
    title, mark, what = (part.strip() for part in rest.partition("="))
    if not title or (mark and not what):
        problem = f": expected a name and its readings, as in {_EXAMPLE!r}"
        raise written.error(problem)
    if not mark:
        title = rest.strip()
    source = SourceText(title, None, {}, cost)
    if not mark or what.casefold() == DEIONISED:
        if not source.is_deionised:
            problem = f": only {DEIONISED} needs no readings; others as in {_EXAMPLE!r}"
            raise written.error(problem)
        return source
    if "=" in what and not Path(what).exists():
        return SourceText(title, None, _values(written, what), cost)
    return SourceText(title, what, {}, cost)


def check_sources(sources: tuple[SourceText, ...]) -> None:
    """Refuse waters that cannot be mixed as they were written.

    Parameters
    ----------
    sources : tuple of SourceText
        All of them.

    Raises
    ------
    QuantityError
        Without any, with two of one name, or where some have a cost and others none.

    Examples
    --------
    >>> check_sources(())
    Traceback (most recent call last):
        ...
    chemcheck.errors.QuantityError: nothing to mix: give two sources or more (--source NAME=...)
    """
    if not sources:
        message = "nothing to mix: give two sources or more (--source NAME=...)"
        raise QuantityError(message)
    names = [one.name.casefold() for one in sources]
    for one in sources:
        if names.count(one.name.casefold()) > 1:
            message = f"two sources are called {one.name!r}: give each a name of its own"
            raise QuantityError(message)
    without = [one.name for one in sources if one.cost is None]
    if 0 < len(without) < len(sources):
        message = (
            f"source {without[0]!r} has no cost and others have one: give a cost for every source, "
            "or for none"
        )
        raise QuantityError(message)


def read_shares(text: str, name: str) -> Mapping[str, float]:
    """Read the shares of a mixture: ``tap=40; deionised=60 %``.

    Parameters
    ----------
    text, name : str
        As for `read_source`.

    Returns
    -------
    mapping of str to float
        By the source's name [1].

    Raises
    ------
    QuantityError
        Where it is something else, or a share is a range.

    Examples
    --------
    >>> dict(read_shares("tap=40; deionised=60 %", "--shares"))
    {'tap': 0.4, 'deionised': 0.6}
    """
    written = Written(text, name, "tap=40; deionised=60 %")
    shares = {}
    for title, value in _values(written, text).items():
        share, _ = read_share(value, name, of_a_mix=False)
        if not share.is_exact:
            problem = f": {value!r} is a range; expected one share"
            raise written.error(problem)
        shares[title] = float(share.value) / 100.0
    return shares


def _without_cost(written: Written) -> tuple[str, float | None]:
    """Split the cost off, which stands behind the last colon."""
    found = _COST.fullmatch(written.text)
    if found is None:
        return written.text, None
    cost = float(found["cost"].replace(",", "."))
    if found["unit"]:
        try:
            cost /= convert(1.0, parse_unit(found["unit"]), "L")
        except UnitError as error:
            problem = f": {error}; a cost is of a litre, or of another volume as in 2.40/m3"
            raise written.error(problem) from None
    if cost < 0.0:
        problem = f": the cost {found['cost']} is below nothing"
        raise written.error(problem)
    return found["what"], cost


def _values(written: Written, what: str) -> Mapping[str, str]:
    values: dict[str, str] = {}
    for part in filter(None, _PARTS.split(what)):
        title, mark, value = (piece.strip() for piece in part.partition("="))
        if not title or not mark or not value:
            problem = f": {part!r} is no NAME=VALUE; expected such as {written.example!r}"
            raise written.error(problem)
        if title in values:
            problem = f": {title!r} is given twice"
            raise written.error(problem)
        values[title] = value
    return values
