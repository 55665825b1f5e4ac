"""Verdicts and results as tables, for use from pandas."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.because import missing_essentials, unreadable
from chemcheck.assessment.dispositions import DISPOSITIONS
from chemcheck.assessment.name_lists import name_lists, names_in_state
from chemcheck.assessment.record import Assessment
from chemcheck.judging.record import (
    NO_RESULT,
    OUTSIDE,
    STATE_NAMES,
    UNDECIDED,
    VERDICT_NAMES,
    WARNING,
    Judged,
)
from chemcheck.judging.result_values import probability_outside, result_values
from chemcheck.limit_library.received_goods import ASPECTS

Places = npt.NDArray[np.intp]

IDENTITY = ("file", "row", "sample_id", "unit_id", "taken_on", "material", "technology")


def verdict_frame(assessment: Assessment) -> pd.DataFrame:
    """Return one row a sample.

    Parameters
    ----------
    assessment : Assessment
        All that was found.

    Returns
    -------
    DataFrame
        Where the sample stands, ``verdict``, ``disposition``, ``because``, the
        ``limit_set`` of the headline, the results ``outside``, ``undecided`` and in
        ``warnings``, the essentials ``missing``, the readings that were ``unreadable``
        though a bound waits for them, a column for each further set, and where there is
        new coolant its ``identity``, ``strength`` and ``contamination``.
    """
    judged = assessment.headline
    table = assessment.readings.samples[list(IDENTITY)].copy()
    table["verdict"] = _names(judged.verdict, VERDICT_NAMES)
    table["disposition"] = _names(assessment.disposition, DISPOSITIONS)
    table["because"] = _names(assessment.because, assessment.because_texts)
    table["limit_set"] = _names(judged.set_of_sample, [s.id for s in judged.sets])
    for title, (codes, texts) in result_lists(judged).items():
        table[title] = _names(codes, texts)
    for other in assessment.judged[1:]:
        verdict = np.where(other.set_of_sample < 0, -1, other.verdict)
        table[f"verdict by {other.name}"] = _names(verdict, VERDICT_NAMES)
    if assessment.received is not None:
        for k, aspect in enumerate(ASPECTS):
            codes = np.full(len(table), -1)
            codes[assessment.received.row] = assessment.received.state[:, k]
            table[aspect] = _names(codes, STATE_NAMES)
    return table


def result_lists(judged: Judged) -> dict[str, tuple[npt.NDArray[np.int32], list[str]]]:
    """Return, by title, which results of each sample are outside, undecided and so on.

    Returns
    -------
    dict of str to (ndarray of int32, list of str)
        Position of each sample's list, and the distinct lists.
    """
    missing, unread = missing_essentials(judged), unreadable(judged)
    names = [name for name, _ in missing]
    return {
        "outside": names_in_state(judged, OUTSIDE),
        "undecided": names_in_state(judged, UNDECIDED),
        "warnings": names_in_state(judged, WARNING),
        "missing": name_lists([column for _, column in missing], names, judged.verdict.size),
        "unreadable": name_lists(
            [column for _, column in unread],
            [judged.quantities[j].key for j, _ in unread],
            judged.verdict.size,
        ),
    }


def result_frame(assessment: Assessment) -> pd.DataFrame:
    """Return one row a result of the headline, sample by sample.

    Parameters
    ----------
    assessment : Assessment
        All that was found.

    Returns
    -------
    DataFrame
        The reading as reported in its canonical unit, the method's standard uncertainty
        ``u``, the state, the decisive bound with its source and evidence, and the
        probability of lying beyond it, least and greatest.
    """
    judged = assessment.headline
    rows, quantities = result_places(judged.state != NO_RESULT)
    values = result_values(judged, rows, quantities)
    least, greatest = probability_outside(judged, rows, quantities)
    of = judged.quantities
    decisive = judged.decisive[rows, quantities]
    table = assessment.readings.samples[list(IDENTITY[:4])].iloc[rows].reset_index(drop=True)
    table["analyte"] = _names(quantities, [q.key for q in of])
    table["basis"] = _names(quantities, [q.basis for q in of])
    table["unit"] = _names(quantities, [q.unit for q in of])
    table["lower"], table["upper"], table["u"] = values.lower, values.upper, values.u
    table["state"] = _names(judged.state[rows, quantities], STATE_NAMES)
    table["bound"] = values.bound
    table["side"] = _names(decisive, [b.side for b in judged.bounds])
    table["kind"] = _names(decisive, [b.kind for b in judged.bounds])
    table["limit_set"] = _names(decisive, [b.limit_set for b in judged.bounds])
    table["source"] = _names(decisive, [b.source for b in judged.bounds])
    table["evidence"] = _names(decisive, [b.evidence for b in judged.bounds])
    table["probability_outside_lower"], table["probability_outside_upper"] = least, greatest
    return table


def result_places(wanted: npt.NDArray[np.bool_]) -> tuple[Places, Places]:
    """Return sample and quantity of the results wanted, sample by sample.

    Parameters
    ----------
    wanted : ndarray of bool, shape (n_samples, n_quantities)
        Which results.
    """
    rows, quantities = np.nonzero(np.ascontiguousarray(wanted))
    return rows, quantities


def _names(codes: npt.NDArray[np.integer], names: Sequence[str | None]) -> pd.Series:
    """Return the text of each code, null for -1, as few distinct texts."""
    texts = [name for name in dict.fromkeys(names) if name is not None]
    place = np.array([*(-1 if name is None else texts.index(name) for name in names), -1])
    return pd.Series(
        pd.Categorical.from_codes(np.asarray(place[codes]), categories=pd.Index(texts))
    )
