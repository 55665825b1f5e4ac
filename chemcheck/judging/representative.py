"""Whether a sample shows what is in the circuit it was taken from."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.intake.sample_facts import fact_dates, fact_numbers, fact_texts
from chemcheck.limit_library.sample_validity import ValidityRule, validity_rules
from chemcheck.readings.questions import ask, join_questions, no_questions
from chemcheck.readings.sample_types import OF_THE_LABORATORY, rows_of_type

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Validity:
    """Which samples do not show their circuit, and why.

    Parameters
    ----------
    rules : tuple of ValidityRule
        The rules that were applied.
    broken : ndarray of int16, shape (n_samples,)
        Position of the first rule that makes a sample not representative; -1 where none.
    questions : DataFrame
        ``QUESTION_COLUMNS``: what only asks.
    """

    rules: tuple[ValidityRule, ...]
    broken: npt.NDArray[np.int16]
    questions: pd.DataFrame


def sample_validity(
    samples: pd.DataFrame,
    hours_since_top_up: Floats | None = None,
    rules: tuple[ValidityRule, ...] | None = None,
) -> Validity | None:
    """Say which samples do not show what is in their circuit.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``sampling_point``, ``material``, ``taken_on`` and free columns.
    hours_since_top_up : ndarray of float64, shape (n_samples,), optional
        From a log [h]; a column of the file comes first.
    rules : tuple of ValidityRule, optional
        Instead of those of ``limits/checks/sample_validity.yaml``.

    Returns
    -------
    Validity or None
        None where no fact that a rule looks at is stated of any sample of coolant.

    Notes
    -----
    Only samples of coolant are looked at: a water tap is no circuit. Distinct texts are
    looked through once each.

    Examples
    --------
    >>> samples = pd.DataFrame({
    ...     "file": "a.csv", "row": [2, 3], "sample_type": "routine", "material": "coolant",
    ...     "sampling_point": ["radiator", "overflow bottle"], "taken_on": pd.NaT,
    ... })
    >>> sample_validity(samples).broken
    array([-1,  0], dtype=int16)
    """
    rules = validity_rules() if rules is None else rules
    facts = _Facts(samples, hours_since_top_up)
    stated = {rule.fact for rule in rules if facts.has(rule.fact)}
    if not stated:
        return None
    broken = np.full(len(samples), -1, dtype=np.int16)
    looked_at = (samples["material"] == "coolant").to_numpy(dtype=np.bool_, copy=True)
    looked_at[rows_of_type(samples, OF_THE_LABORATORY)] = False
    tables = []
    for k, rule in enumerate(rules):
        if rule.fact not in stated:
            continue
        at = np.flatnonzero(facts.broken(rule) & looked_at)
        if rule.then == "question":
            if at.size:
                texts = facts.texts(rule.fact, at)
                tables.append(ask(samples, at, rule.fact, texts, rule.says))
        else:
            broken[at[broken[at] < 0]] = k
    return Validity(rules, broken, join_questions(tables) if tables else no_questions())


class _Facts:
    """What is stated of the samples, read once."""

    def __init__(self, samples: pd.DataFrame, hours_since_top_up: Floats | None) -> None:
        self.words = {"sampling_point": _sampling_points(samples)}
        for fact in ("ran_hot", "container"):
            self.words[fact] = fact_texts(samples, fact)
        hours = fact_numbers(samples, "hours_since_top_up", "h")
        if hours is None:
            hours = hours_since_top_up
        elif hours_since_top_up is not None:
            hours = np.where(np.isnan(hours), hours_since_top_up, hours)
        self.numbers = {
            "hours_since_top_up": hours,
            "days_to_laboratory": _days_on_the_way(samples),
        }

    def has(self, fact: str) -> bool:
        """Return whether anything is stated of a fact."""
        return self.words.get(fact) is not None or self.numbers.get(fact) is not None

    def broken(self, rule: ValidityRule) -> npt.NDArray[np.bool_]:
        """Return which samples a rule finds."""
        stated = self.words.get(rule.fact)
        if stated is not None:
            codes, texts = stated
            return np.array([*map(rule.matches, texts), False])[codes]
        number = self.numbers[rule.fact]
        assert number is not None  # it is stated
        below = -np.inf if rule.below is None else rule.below
        above = np.inf if rule.above is None else rule.above
        return np.asarray((number < below) | (number > above))  # NaN, not stated, is neither

    def texts(self, fact: str, at: npt.NDArray[np.intp]) -> list[str]:
        """Write what is stated of some samples."""
        stated = self.words.get(fact)
        if stated is not None:
            codes, texts = stated
            return [texts[code] for code in codes[at]]
        number = self.numbers[fact]
        assert number is not None  # it is stated
        return [f"{value:.4g}" for value in number[at]]


def _sampling_points(samples: pd.DataFrame) -> tuple[npt.NDArray[np.int64], tuple[str, ...]] | None:
    codes, texts = pd.factorize(samples["sampling_point"])
    return (codes.astype(np.int64), tuple(map(str, texts))) if len(texts) else None


def _days_on_the_way(samples: pd.DataFrame) -> Floats | None:
    """Return days from taking a sample to its receipt; NaN where either is unknown."""
    received = fact_dates(samples, "received_on")
    if received is None:
        return None
    taken = samples["taken_on"].dt.floor("D").to_numpy("datetime64[s]")
    way = (received - taken).astype("timedelta64[s]")
    days = way.astype(np.float64) / 86400.0
    return np.where(np.isnat(way), np.nan, days)
