"""Why a sample has its verdict and its disposition, in one sentence."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import vocabulary
from chemcheck.assessment.dispositions import (
    CHANGE,
    FIND_FAULT,
    KEEP,
    NEW_COOLANT_USE,
    Advice,
    dispositions,
)
from chemcheck.judging.bound_tables import matches
from chemcheck.judging.record import (
    FIT,
    NO_RESULT,
    NOT_DECIDED,
    NOT_JUDGED,
    UNDECIDED,
    UNFIT,
    WARNING,
    BoundInForce,
    Judged,
)
from chemcheck.readings.record import REJECTED
from chemcheck.readings.sample_types import OF_THE_LABORATORY, rows_of_type
from chemcheck.readings.text_codes import text_codes

Codes = npt.NDArray[np.int64]

# What a sentence starts with; each is about one thing and counts how many more there are.
_ALL_INSIDE, _WARNED, _OUTSIDE, _NO_SET, _PARTIAL, _MISSING, _MAY_BE, _UNREAD, _NOTHING = range(9)
_WITHHELD, _OF_LABORATORY = 9, 10
_MORE_COUNTED = 100
_SINGLE, _UNKNOWN = 1, 2
_PLAIN_WORDS = {
    _ALL_INSIDE: "every reading that was judged is inside its bounds",
    _NO_SET: "no limit set applies to this sample",
    _NOTHING: "nothing that a bound speaks of was read",
    _OF_LABORATORY: "a blank, standard or spike shows how a laboratory works, not a unit",
}
_CONFIRM_WORDS = {
    _SINGLE: "the unit has no other sample",
    _UNKNOWN: "its technology is not known",
}


@dataclass(frozen=True, slots=True)
class Because:
    """Disposition of each sample, and the reason for verdict and disposition.

    Parameters
    ----------
    disposition : ndarray of int8, shape (n_samples,)
        Position in `DISPOSITIONS`.
    code : ndarray of int32, shape (n_samples,)
        Position in ``texts``.
    texts : tuple of str
        The distinct sentences.
    confirm : ndarray of bool, shape (n_samples,)
        Whether costly advice rests on a single sample, or on a coolant of unknown technology.
    """

    disposition: npt.NDArray[np.int8]
    code: npt.NDArray[np.int32]
    texts: tuple[str, ...]
    confirm: npt.NDArray[np.bool_]


def reasons(judged: Judged, advice: Sequence[Advice]) -> Because:
    """Say what to do with each sample and why.

    Parameters
    ----------
    judged : Judged
        The choice of sets that makes the headline.
    advice : sequence of (str, str)
        What a result outside each bound asks for.

    Returns
    -------
    Because
        A unit's only sample, and a coolant of unknown technology, must be confirmed before
        the coolant is changed or repairs are begun: the sentence then ends with that.
    """
    disposition, bound, outside = dispositions(judged, advice)
    disposition[rows_of_type(judged.readings.samples, OF_THE_LABORATORY)] = KEEP
    n = judged.verdict.size
    kind = np.full(n, _ALL_INSIDE, dtype=np.int64)
    item, more = np.zeros(n, dtype=np.int64), np.zeros(n, dtype=np.int64)

    def fill(
        where: npt.NDArray[np.bool_], what: int, items: npt.NDArray[np.integer], count: Codes | int
    ) -> None:
        at = np.flatnonzero(where)
        kind[at] = what
        item[at] = items[at]
        more[at] = count if isinstance(count, int) else count[at]

    warned, warnings = _first(judged, WARNING)
    fill((judged.verdict == FIT) & (warnings > 0), _WARNED, warned, warnings - 1)
    fill(judged.verdict == UNFIT, _OUTSIDE, bound, outside.astype(np.int64) - 1)
    unread = unreadable(judged)
    _fill_undecided(judged, fill, unread)
    confirm = _confirm_first(judged, disposition)
    more = np.minimum(more, _MORE_COUNTED - 1)
    width = len(judged.bounds) + len(judged.sets) + 64
    key = ((kind * width + item) * _MORE_COUNTED + more) * 4 + confirm
    code, keys = pd.factorize(key)
    texts = tuple(
        _sentence(
            judged,
            advice,
            [judged.quantities[j].title for j, _ in unread],
            kind=int(each) // (4 * _MORE_COUNTED * width),
            item=int(each) // (4 * _MORE_COUNTED) % width,
            more=int(each) // 4 % _MORE_COUNTED,
            confirm=int(each) % 4,
        )
        for each in keys
    )
    return Because(disposition, code.astype(np.int32), texts, confirm > 0)


# A quantity, and in which samples its reading could not be made out.
Unread = list[tuple[int, npt.NDArray[np.bool_]]]
Fill = Callable[[npt.NDArray[np.bool_], int, npt.NDArray[np.integer], Codes | int], None]


def _fill_undecided(judged: Judged, fill: Fill, unread: Unread) -> None:
    """Fill in why samples are undecided; the last that holds is said."""
    undecided = judged.verdict == NOT_DECIDED
    if not undecided.any():
        return
    nothing = np.zeros(undecided.size, dtype=np.int64)
    fill(undecided, _NOTHING, nothing, 0)
    first, losses = _first_true([column for _, column in unread], undecided.size)
    fill(undecided & (losses > 0), _UNREAD, first, losses - 1)
    doubtful, doubts = _first(judged, UNDECIDED)
    fill(undecided & (doubts > 0), _MAY_BE, doubtful, doubts - 1)
    lost = missing_essentials(judged)
    first, losses = _first_true([column for _, column in lost], undecided.size)
    fill(undecided & (losses > 0), _MISSING, first, losses - 1)
    partial = np.array([*(bool(s.partial) for s in judged.sets), False])
    fill(undecided & partial[judged.set_of_sample], _PARTIAL, judged.set_of_sample, 0)
    if judged.withheld is not None:
        fill(undecided & (judged.withheld >= 0), _WITHHELD, judged.withheld, 0)
    without = undecided & (judged.set_of_sample < 0)
    if without.any():
        fill(without, _NO_SET, nothing, 0)
        own = np.zeros(undecided.size, dtype=np.bool_)
        own[rows_of_type(judged.readings.samples, OF_THE_LABORATORY)] = True
        fill(without & own, _OF_LABORATORY, nothing, 0)


def missing_essentials(judged: Judged) -> list[tuple[str, npt.NDArray[np.bool_]]]:
    """Say which essentials each sample lacks.

    Parameters
    ----------
    judged : Judged
        All samples.

    Returns
    -------
    list of (str, ndarray of bool, shape (n_samples,))
        By essential analyte of any set in use, where it is missing, rejected or not judged.
    """
    answer = []
    for analyte in dict.fromkeys(name for s in judged.sets for name in s.essential):
        asked = np.array([*(analyte in s.essential for s in judged.sets), False])
        lost = judged.missing_essential & asked[judged.set_of_sample]
        limited = np.array(
            [*(any(x.analyte == analyte for x in s.limits) for s in judged.sets), False]
        )[judged.set_of_sample]
        by_condition = np.array([*(b.kind == "condition" for b in judged.bounds), False])
        for j, quantity in enumerate(judged.quantities):
            if quantity.key == analyte and quantity.column is not None:
                state = judged.state[:, j]
                unjudged = (state == NOT_JUDGED) & limited
                exempt = by_condition[judged.decisive[:, j]]
                lost = lost & ((state == NO_RESULT) | (unjudged & ~exempt))
        answer.append((analyte, lost))
    return answer


def unreadable(judged: Judged) -> Unread:
    """Say which readings were there but could not be made out, though a bound waits for them.

    Parameters
    ----------
    judged : Judged
        All samples.

    Returns
    -------
    list of (int, ndarray of bool, shape (n_samples,))
        By quantity of which any reading was rejected, where.
    """
    answer = []
    for j, column in enumerate(judged.readings.columns):
        rejected = judged.readings.status[:, j] == REJECTED
        if rejected.any():
            bounded = [
                any(
                    matches(limit, column) and any(b.kind == "action" for b in limit.bounds)
                    for limit in each.limits
                )
                for each in judged.sets
            ]
            answer.append((j, rejected & np.array([*bounded, False])[judged.set_of_sample]))
    return answer


def _first(judged: Judged, state: np.int8) -> tuple[npt.NDArray[np.int16], Codes]:
    """Return the bound of each sample's first result in a state, and how many there are."""
    n = judged.verdict.size
    bound, count = np.full(n, -1, dtype=np.int16), np.zeros(n, dtype=np.int64)
    for j in range(len(judged.quantities)):
        at = np.flatnonzero(judged.state[:, j] == state)
        new = at[count[at] == 0]
        bound[new] = judged.decisive[new, j]
        count[at] += 1
    return bound, count


def _first_true(columns: Sequence[npt.NDArray[np.bool_]], n: int) -> tuple[Codes, Codes]:
    """Return the position of the first true column of each row, and how many are true."""
    first, count = np.zeros(n, dtype=np.int64), np.zeros(n, dtype=np.int64)
    for k, column in enumerate(columns):
        first[column & (count == 0)] = k
        count += column
    return first, count


def _confirm_first(judged: Judged, disposition: npt.NDArray[np.int8]) -> Codes:
    """Return which costly advice rests on a single sample or an unknown technology."""
    answer = np.zeros(disposition.size, dtype=np.int64)
    costly = (disposition == CHANGE) | (disposition == FIND_FAULT)
    samples = judged.readings.samples
    coolant = np.array(
        [*(s.material == "coolant" and s.use != NEW_COOLANT_USE for s in judged.sets), False]
    )
    at = np.flatnonzero(costly & coolant[judged.set_of_sample])
    if at.size:
        unit = text_codes(samples["unit_id"])[0]
        of_unit = np.bincount(unit + 1)
        of_unit[0] = 1  # a sample of no named unit stands alone
        answer[at] += _SINGLE * (of_unit[unit[at] + 1] == 1)
        answer[at] += _UNKNOWN * samples["technology"].isna().to_numpy()[at]
    return answer


def _sentence(
    judged: Judged,
    advice: Sequence[Advice],
    unread: Sequence[str],
    *,
    kind: int,
    item: int,
    more: int,
    confirm: int,
) -> str:
    """Write one sentence."""
    said = _PLAIN_WORDS.get(kind, "")
    if kind == _WARNED:
        said = f"{bound_words(judged, item, 'is or may be')}, to watch{_others(more, 'warning')}"
    elif kind == _OUTSIDE:
        others = _others(more, "bound broken", "bounds broken")
        said = f"{bound_words(judged, item, 'is')}{others}; {advice[item][1]}"
    elif kind == _WITHHELD:
        said = _plain(judged.bounds[item].consequence)
    elif kind == _PARTIAL:
        said = _plain(judged.sets[item].partial)
    elif kind == _MISSING:
        others = _others(more, "essential reading missing", "essential readings missing")
        said = f"no usable reading of {_essential_title(judged, item)}{others}"
    elif kind == _UNREAD:
        others = _others(more, "such reading")
        said = f"a reading of {unread[item]} could not be made out{others}"
    elif kind == _MAY_BE:
        others = _others(more, "result undecided", "results undecided")
        said = f"{bound_words(judged, item, 'may be')}{others}"
    causes = [words for flag, words in _CONFIRM_WORDS.items() if confirm & flag]
    return f"{said}; confirm first: {' and '.join(causes)}" if causes else said


def bound_words(judged: Judged, place: int, verb: str) -> str:
    """Say in words on which side of a bound a reading is.

    Parameters
    ----------
    judged : Judged
        With the bounds.
    place : int
        Position of the bound.
    verb : str
        ``is``, ``may be``.

    Returns
    -------
    str
        ``Chloride is above 40 mg/L``.
    """
    bound: BoundInForce = judged.bounds[place]
    quantity = judged.quantities[bound.quantity]
    title = quantity.title
    if title[1:2].islower():  # pH stays pH
        title = title[:1].upper() + title[1:]
    if bound.kind == "condition":
        return _plain(bound.consequence)
    if bound.side is None:
        return f"{title}: the rule {'is' if verb == 'is' else 'may be'} broken"
    direction = "above" if bound.side == "upper" else "below"
    if bound.of_fresh:
        return f"{title} {verb} {direction} {bound.value:.0%} of the {fresh_words(judged, bound)}"
    unit = "" if quantity.unit == quantity.title else quantity.unit
    return f"{title} {verb} {direction} {bound.value:.6g} {unit}".rstrip()


def fresh_words(judged: Judged, bound: BoundInForce) -> str:
    """Say what a bound is a fraction of: a unit's fresh fill, or the fleet's reference."""
    new = any(s.id == bound.limit_set and s.use == NEW_COOLANT_USE for s in judged.sets)
    return "reference" if new else "fresh fill"


def _essential_title(judged: Judged, item: int) -> str:
    names = list(dict.fromkeys(name for s in judged.sets for name in s.essential))
    return vocabulary()[names[item]].title


def _others(count: int, one: str, several: str | None = None) -> str:
    """Say how many more there are."""
    if not count:
        return ""
    number = f"{count} or more" if count == _MORE_COUNTED - 1 else str(count)
    return f", and {number} more {one if count == 1 else several or one + 's'}"


def _plain(sentence: str) -> str:
    return sentence.strip().rstrip(".")
