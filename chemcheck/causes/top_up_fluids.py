"""What each fluid of a log of top-ups brings along."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.causes.reading_ends import ends_of, joined
from chemcheck.chemistry.range_record import Range
from chemcheck.fills.top_up_shares import CONCENTRATE, PREMIX, UNKNOWN, fluid_kind
from chemcheck.judging.record import Judged
from chemcheck.readings.record import SAMPLE_COLUMNS
from chemcheck.readings.text_codes import text_codes
from chemcheck.units import read_yaml

DEIONISED = "deionised"
_NAMED_BY = ("sample_id", "sampling_point")
_WORD = re.compile(r"[^\W\d_]{3,}")


@cache
def _words() -> tuple[tuple[str, ...], frozenset[str]]:
    page = read_yaml(Path(__file__).with_name("top_up_fluids.yaml"))
    return tuple(map(str, page["deionised"])), frozenset(map(str, page["no_name"]))


def fluid_of(text: str) -> str:
    """Say what a log means that was topped up.

    Parameters
    ----------
    text : str
        As logged.

    Returns
    -------
    str
        ``deionised``, or a kind of `chemcheck.fills.top_up_shares.fluid_kind`: ``water``,
        ``premix`` (like the fresh fill), ``concentrate``, ``unknown``.

    Examples
    --------
    >>> fluid_of("Tap water, north yard"), fluid_of("deionised water"), fluid_of("50/50")
    ('water', 'deionised', 'premix')
    """
    low = text.casefold()
    if any(re.search(rf"(?<!\w){re.escape(word)}(?!\w)", low) for word in _words()[0]):
        return DEIONISED
    return fluid_kind(text)


@dataclass(frozen=True, slots=True)
class TopUpFluids:
    """What is known of the waters that systems are topped up with.

    Parameters
    ----------
    judged : Judged
        All samples, waters among them.
    stated : mapping of str to Range
        Of the tap water, as stated by the user [canonical units]; it comes first.
    deionised : mapping of str to Range
        What deionised water is taken to hold [canonical units].
    known : dict
        What was looked up already, by fluid and analyte.
    """

    judged: Judged
    stated: Mapping[str, Range]
    deionised: Mapping[str, Range]
    known: dict[tuple[str, str], Range | None] = field(default_factory=dict, repr=False)

    def level(self, fluid: str, analyte: str, fresh: int) -> Range | None:
        """Return what a fluid holds of an analyte.

        Parameters
        ----------
        fluid : str
            As logged.
        analyte : str
            A key of the vocabulary.
        fresh : int
            Position of the fresh fill, which a ready mix is taken to be alike.

        Returns
        -------
        Range or None
            [canonical unit]; None where it is not known.
        """
        kind = fluid_of(fluid)
        if kind in (PREMIX, CONCENTRATE):
            return self._of_coolant(analyte, fresh, neat=kind == CONCENTRATE)
        if kind == UNKNOWN:
            return None
        if analyte == "glycol":
            return Range(np.asarray(0.0), np.asarray(0.0))
        if kind == DEIONISED:
            return self.deionised.get(analyte)
        return self.tap(fluid, analyte)

    def tap(self, fluid: str, analyte: str) -> Range | None:
        """Return what tap water holds of an analyte: stated, of its name, or any sampled."""
        if analyte in self.stated:
            return self.stated[analyte]
        key = fluid, analyte
        if key not in self.known:
            self.known[key] = self._sampled(fluid, analyte)
        return self.known[key]

    def _sampled(self, fluid: str, analyte: str) -> Range | None:
        found = [ends_of(self.judged, row, analyte) for row in self.rows(fluid).tolist()]
        known = [one for one in found if one is not None]
        return joined(known) if known else None

    def rows(self, fluid: str) -> npt.NDArray[np.intp]:
        """Return the samples of water that a fluid may be: those that share a name with it."""
        samples = self.judged.readings.samples
        return waters_named(samples, sampled_waters(samples), fluid)

    def _of_coolant(self, analyte: str, fresh: int, *, neat: bool) -> Range | None:
        mix = ends_of(self.judged, fresh, analyte)
        if mix is None or not neat:
            return mix
        glycol = ends_of(self.judged, fresh, "glycol")
        if glycol is None or float(glycol.lower) <= 0.0:
            return None
        return Range(mix.lower * 100.0 / glycol.upper, mix.upper * 100.0 / glycol.lower)


def sampled_waters(samples: pd.DataFrame) -> npt.NDArray[np.intp]:
    """Return the rows of waters that were sampled as they are used.

    Parameters
    ----------
    samples : DataFrame
        All samples.
    """
    if "water" not in text_codes(samples["material"])[1]:
        return np.zeros(0, dtype=np.intp)
    is_water = (samples["material"] == "water") & (samples["sample_type"] == "routine")
    return np.flatnonzero(is_water.to_numpy())


def waters_named(
    samples: pd.DataFrame, waters: npt.NDArray[np.intp], fluid: str
) -> npt.NDArray[np.intp]:
    """Return the samples of water that share a name with a fluid, all of them if none does.

    Parameters
    ----------
    samples : DataFrame
        All samples.
    waters : ndarray of int
        Rows of waters.
    fluid : str
        As logged.
    """
    names = set(_WORD.findall(fluid.casefold())) - _words()[1]
    if not names:
        return waters
    named = called(samples, waters, lambda text: bool(names & set(_WORD.findall(text.casefold()))))
    return waters[named] if named.any() else waters


def called(
    samples: pd.DataFrame, rows: npt.NDArray[np.intp], meant: Callable[[str], bool]
) -> npt.NDArray[np.bool_]:
    """Return which samples have a name, or a text in a column of the user's, that is meant.

    Parameters
    ----------
    samples : DataFrame
        All samples.
    rows : ndarray of int, shape (n,)
        Some of them.
    meant : callable
        Says it of one text.
    """
    found = np.zeros(rows.size, dtype=np.bool_)
    for column in (*_NAMED_BY, *(name for name in samples.columns if name not in SAMPLE_COLUMNS)):
        codes, texts = text_codes(samples[column].iloc[rows].astype("str"))
        found |= np.array([*map(meant, texts), False])[codes]
    return found
