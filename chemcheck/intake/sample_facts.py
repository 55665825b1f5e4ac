"""Free columns that say how a sample was taken, or what its unit shares with others."""

import re
from functools import cache, lru_cache

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa

from chemcheck.analytes import plain_name
from chemcheck.errors import UnitError
from chemcheck.intake.cells import parse_cells
from chemcheck.intake.dates import parse_dates
from chemcheck.intake.decimal_mark import decimal_evidence
from chemcheck.intake.word_lists import word_list
from chemcheck.readings.record import READ, SAMPLE_COLUMNS
from chemcheck.units import linear_map

_BRACKET = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
# What a columns file says a free column states stands behind its title in the samples.
_STATED = re.compile(r" \(= ([a-z_]+)\)")
_NOTHING = "text"


def fact_names() -> tuple[str, ...]:
    """Return the facts that a free column can state.

    Examples
    --------
    >>> "received_on" in fact_names()
    True
    """
    return tuple(word_list("sample_facts")["titles"])


@lru_cache(maxsize=4096)
def fact_of_title(title: str) -> str | None:
    """Return what a title states of a sample, None where it is nothing known here.

    Examples
    --------
    >>> fact_of_title("Date received"), fact_of_title("Hours since top-up [h]")
    ('received_on', 'hours_since_top_up')
    >>> fact_of_title("Shelf") is None
    True
    """
    stated = _STATED.search(title)
    if stated is not None:
        return stated[1] if stated[1] in fact_names() else None
    known = _titles()
    return known.get(plain_name(title)) or known.get(plain_name(_BRACKET.sub(" ", title)))


def free_title(title: str, fact: str | None, unit: str | None = None) -> str:
    """Return the title under which a free column stands, once a columns file speaks of it.

    Parameters
    ----------
    title : str
        As the file has it.
    fact : str or None
        What it states: one of `fact_names`; None for a text that states nothing.
    unit : str, optional
        Of its numbers, where the title does not say.

    Returns
    -------
    str
        The title itself, where it says the same.

    Examples
    --------
    >>> free_title("Depot", "depot"), free_title("Werk", "depot"), free_title("Tank", None)
    ('Depot', 'Werk (= depot)', 'Tank (= text)')
    >>> fact_of_title("Werk (= depot)"), fact_of_title("Tank (= text)")
    ('depot', None)
    """
    if fact_of_title(title) == fact and unit is None:
        return title
    said = title if unit is None else f"{_BRACKET.sub('', title).strip()} ({unit})"
    return f"{said} (= {fact or _NOTHING})"


@cache
def _titles() -> dict[str, str]:
    return {
        plain_name(str(name)): fact
        for fact, names in word_list("sample_facts")["titles"].items()
        for name in (fact, *names)
    }


def fact_column(samples: pd.DataFrame, fact: str) -> str | None:
    """Return the title of the free column that states a fact, None if there is none.

    Of several the first counts, before all one of which a columns file says it.

    Parameters
    ----------
    samples : DataFrame
        With the free columns behind ``SAMPLE_COLUMNS``.
    fact : str
        One of `fact_names`.
    """
    titles = [
        str(title)
        for title in samples.columns
        if title not in SAMPLE_COLUMNS and fact_of_title(str(title)) == fact
    ]
    # The user's word comes before what a title seems to say.
    titles.sort(key=lambda title: _STATED.search(title) is None)
    return titles[0] if titles else None


def fact_texts(
    samples: pd.DataFrame, fact: str
) -> tuple[npt.NDArray[np.int64], tuple[str, ...]] | None:
    """Return the distinct texts of a fact, and which of them each sample has.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With the free columns.
    fact : str
        One of `fact_names`.

    Returns
    -------
    codes : ndarray of int64, shape (n_samples,)
        Position among the texts; -1 where nothing is stated.
    texts : tuple of str
        As written.
    None
        Where no column states the fact.
    """
    title = fact_column(samples, fact)
    if title is None:
        return None
    codes, texts = pd.factorize(samples[title])
    return codes.astype(np.int64), tuple(map(str, texts))


def fact_numbers(samples: pd.DataFrame, fact: str, unit: str) -> npt.NDArray[np.float64] | None:
    """Return a fact as numbers in a unit.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With the free columns.
    fact : str
        One of `fact_names`.
    unit : str
        What is wanted; a unit in the column's title or in a cell is converted.

    Returns
    -------
    ndarray of float64, shape (n_samples,), or None
        NaN where no exact number is stated; None where no column states the fact.

    Examples
    --------
    >>> samples = pd.DataFrame({"Hours since top-up (min)": ["90", None, "3 h"]})
    >>> fact_numbers(samples, "hours_since_top_up", "h")
    array([1.5, nan, 3. ])
    """
    found = fact_texts(samples, fact)
    title = fact_column(samples, fact)
    if found is None or title is None:
        return None
    codes, texts = found
    written = pa.array(texts, pa.string())
    parsed = parse_cells(written, decimal_evidence({title: written}, ",").mark or ".")
    exact = (parsed.kind == READ) & (parsed.lower == parsed.upper)
    values = np.where(exact, parsed.lower, np.nan)
    bracket = _BRACKET.search(_STATED.sub("", title))
    for code in np.unique(parsed.unit).tolist():
        stated = (bracket[1] if bracket else unit) if code < 0 else parsed.units[code]
        here = parsed.unit == code
        try:
            values[here] = linear_map(stated, unit)(values[here])
        except UnitError:
            values[here] = np.nan
    return np.asarray(np.append(values, np.nan)[codes])


def fact_dates(samples: pd.DataFrame, fact: str) -> npt.NDArray[np.datetime64] | None:
    """Return a fact as dates.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With the free columns.
    fact : str
        One of `fact_names`.

    Returns
    -------
    ndarray of datetime64[s], shape (n_samples,), or None
        NaT where no date, or one of two, is stated; None where no column states the fact.
    """
    found = fact_texts(samples, fact)
    if found is None:
        return None
    codes, texts = found
    dates = parse_dates(pa.array(texts, pa.string()))
    known = np.append(dates.values.astype("datetime64[s]"), np.datetime64("NaT", "s"))
    return np.asarray(known[codes])
