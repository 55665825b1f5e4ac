"""New coolant before it is in a unit: whether it is what was ordered, as strong, and clean."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.set_choices import SetChoice
from chemcheck.fills.event_order import FRESH_SAMPLES
from chemcheck.judging.fleet_reference import FleetReference, fleet_reference
from chemcheck.judging.glycol_of_concentrate import GLYCOL
from chemcheck.judging.glycol_of_new_coolant import with_glycol_of_new_coolant
from chemcheck.judging.plan import material_codes
from chemcheck.judging.record import (
    INSIDE,
    NOT_JUDGED,
    OUTSIDE,
    STATE_NAMES,
    UNDECIDED,
    WARNING,
    Judged,
)
from chemcheck.judging.repeatability import OwnRepeatability
from chemcheck.judging.uncertainty import precision_table, with_own_repeatability
from chemcheck.limit_library import load_set, technologies
from chemcheck.limit_library.both_sets import both_sets
from chemcheck.limit_library.received_goods import ASPECTS, received_goods_rules
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import (
    NEW_CONCENTRATE,
    NEW_COOLANT,
    PREMIX,
    rows_of_type,
)

Rows = npt.NDArray[np.intp]

# Why identity is not decided, whatever was read.
_KNOWN, _NO_TECHNOLOGY, _NO_REFERENCE, _ONLY_REFERENCE, _NOTHING_SHARED = range(5)
_OPEN_BECAUSE = {
    _NO_TECHNOLOGY: (
        "Which coolant this should be is not stated, so that its identity is not decided."
    ),
    _NO_REFERENCE: (
        "No fresh-fill reference of its technology and glycol stands beside it, so that its "
        "identity is not decided."
    ),
    _ONLY_REFERENCE: (
        "It is itself the only fresh-fill reference of its technology and glycol, so that nothing "
        "stands beside it that shows its identity."
    ),
    _NOTHING_SHARED: (
        "Nothing that tells coolants apart was read both in it, with its glycol, and in a "
        "fresh-fill reference, so that its identity is not decided."
    ),
}
_NO_GLYCOL_TYPE = (
    "Which glycol it holds is not stated, so that no set for new coolant judges it besides."
)
# So many references are named.
REFERENCES_NAMED = 3
_RANK = {INSIDE: 0, WARNING: 1, UNDECIDED: 2, OUTSIDE: 3}


@dataclass(frozen=True, slots=True)
class Goods:
    """Samples of new coolant and what they are held against.

    Parameters
    ----------
    reference : FleetReference
        The samples, and what the fleet's references would read at their strength.
    open_because : ndarray of int, shape (m,)
        Why the identity of each cannot be decided; 0 where it can.
    """

    reference: FleetReference
    open_because: npt.NDArray[np.intp]

    @property
    def row(self) -> Rows:
        """The samples."""
        return self.reference.row


@dataclass(frozen=True, slots=True)
class ReceivedGoods:
    """What was found of new coolant: concentrate, premix, bulk tanks, fresh-fill references.

    Parameters
    ----------
    row : ndarray of int, shape (m,)
        Position of each among the samples.
    state : ndarray of int8, shape (m, 3)
        States of identity, strength and contamination, as of results: inside, warning,
        undecided, outside, or not judged where nothing of it was read.
    code : ndarray of int, shape (m,)
        Position in ``references``.
    references : tuple of (tuple of str)
        Names of the samples that served as reference.
    """

    row: Rows
    state: npt.NDArray[np.int8]
    code: npt.NDArray[np.intp]
    references: tuple[tuple[str, ...], ...]

    def of_sample(self, row: int) -> dict[str, str] | None:
        """Return the three states of a sample by name; None where it is no new coolant."""
        at = np.flatnonzero(self.row == row)
        if not at.size:
            return None
        states = self.state[at[0]].tolist()
        return {name: STATE_NAMES[code] for name, code in zip(ASPECTS, states, strict=True)}

    def references_of(self, row: int) -> tuple[str, ...]:
        """Return the names of the references of a sample."""
        at = np.flatnonzero(self.row == row)
        return self.references[int(self.code[at[0]])] if at.size else ()


def find_goods(
    readings: Readings, own: Sequence[OwnRepeatability]
) -> tuple[Readings, Goods | None, tuple[str, ...]]:
    """Find the samples of new coolant, and what they are held against.

    Parameters
    ----------
    readings : Readings
        All samples.
    own : sequence of OwnRepeatability
        Laboratories' own repeatability.

    Returns
    -------
    readings : Readings
        With the glycol of new coolant worked out where it was not read.
    goods : Goods or None
        None where there is no new coolant. References are fresh-fill samples that name no
        unit; where a technology has none of them, the fresh fills of its units.
    assumptions : tuple of str
        What was worked out.
    """
    row = new_coolant_rows(readings.samples)
    if not row.size:
        return readings, None, ()
    samples = readings.samples
    fresh = rows_of_type(samples, FRESH_SAMPLES)
    fresh = fresh[(samples["material"].iloc[fresh] == "coolant").to_numpy()]
    references = _preferred(samples, fresh)
    of_interest = np.union1d(row, references)
    readings, said = with_glycol_of_new_coolant(readings, of_interest)
    precision = with_own_repeatability(
        precision_table(readings.method.names, readings.columns),
        len(readings.laboratory.names),
        own,
    )
    reference = fleet_reference(
        readings,
        row,
        references,
        precision,
        material_codes(readings),
        received_goods_rules().absent_below,
    )
    return readings, Goods(reference, _open_because(readings, reference)), said


def new_coolant_rows(samples: pd.DataFrame) -> Rows:
    """Return the samples of new coolant: goods and tanks, and fresh fills that name no unit."""
    goods = rows_of_type(samples, NEW_COOLANT)
    fresh = rows_of_type(samples, FRESH_SAMPLES)
    if fresh.size:
        fresh = fresh[samples["unit_id"].iloc[fresh].isna().to_numpy()]
    both = np.union1d(goods, fresh).astype(np.intp)
    return both[(samples["material"].iloc[both] == "coolant").to_numpy()]


def _preferred(samples: pd.DataFrame, fresh: Rows) -> Rows:
    """Leave out the fresh fills of units whose technology has references of its own."""
    technology = pd.factorize(samples["technology"].iloc[fresh])[0]
    no_unit = samples["unit_id"].iloc[fresh].isna().to_numpy()
    has_own = np.zeros(technology.max(initial=-1) + 2, dtype=np.bool_)
    has_own[technology[no_unit]] = True
    return fresh[no_unit | ~has_own[technology]]


def _open_because(readings: Readings, reference: FleetReference) -> npt.NDArray[np.intp]:
    """Say why identity cannot be decided."""
    row = reference.row
    shared = np.zeros(row.size, dtype=np.bool_)
    identity = received_goods_rules().aspects["identity"]
    for j, column in enumerate(readings.columns):
        if column.analyte in identity:
            shared |= ~np.isnan(readings.lower[row, j]) & ~np.isnan(reference.most.lower[:, j])
    size = np.array([members.size for members in reference.members])[reference.group]
    itself = np.zeros(row.size, dtype=np.bool_)
    for k in np.unique(reference.group).tolist():
        at = np.flatnonzero(reference.group == k)
        itself[at] = np.isin(row[at], reference.members[k])
    unknown = readings.samples["technology"].iloc[row].isna().to_numpy()
    return np.select(
        [unknown, size == 0, itself & (size == 1), ~shared],
        [_NO_TECHNOLOGY, _NO_REFERENCE, _ONLY_REFERENCE, _NOTHING_SHARED],
        _KNOWN,
    ).astype(np.intp)


def with_goods(choice: SetChoice, readings: Readings, goods: Goods) -> SetChoice:
    """Let new coolant be judged by the sets for it, and against the fleet's reference.

    Parameters
    ----------
    choice : SetChoice
        The default sets of all samples.
    readings : Readings
        With the glycol of new coolant.
    goods : Goods
        From `find_goods`.

    Returns
    -------
    SetChoice
        New coolant of a technology that no set of the library judges is left without one.
    """
    samples = readings.samples
    row = goods.row
    technology, names = _codes(samples["technology"].iloc[row])
    glycol, glycols = _codes(samples["glycol_type"].iloc[row])
    kind, kinds = _codes(samples["sample_type"].iloc[row])
    concentrate = _holds_concentrate(readings, row)
    keys = np.column_stack([kind, concentrate, technology, glycol, goods.open_because])
    distinct, code = np.unique(keys, axis=0, return_inverse=True)
    sets = list(choice.sets)
    place = []
    for one in distinct.tolist():
        chosen = _set_for(
            kinds[one[0]],
            bool(one[1]),
            names[one[2]] if one[2] >= 0 else None,
            glycols[one[3]] if one[3] >= 0 else None,
            one[4],
        )
        if chosen is not None and chosen not in sets:
            sets.append(chosen)
        place.append(-1 if chosen is None else sets.index(chosen))
    of_sample = choice.set_of_sample.copy()
    of_sample[row] = np.array(place, dtype=np.int16)[code.reshape(-1)]
    used = {sets[k].id for k in np.unique(of_sample[of_sample >= 0])}
    name = used.pop() if len(used) == 1 else "by material and technology"
    return SetChoice(name, tuple(sets), of_sample)


def _codes(column: pd.Series) -> tuple[npt.NDArray[np.intp], list[str]]:
    codes, names = pd.factorize(column)
    return np.asarray(codes, dtype=np.intp), [str(name) for name in names]


def _holds_concentrate(readings: Readings, row: Rows) -> npt.NDArray[np.bool_]:
    """Say which tanks and fresh fills hold concentrate, by their glycol."""
    if GLYCOL not in readings.columns:
        return np.zeros(row.size, dtype=np.bool_)
    lower = readings.lower[row, readings.columns.index(GLYCOL)]
    return np.asarray(lower >= received_goods_rules().concentrate_from.value)


def _set_for(
    kind: str, strong: bool, technology: str | None, glycol: str | None, open_because: int
) -> LimitSet | None:
    """Return what judges one kind of new coolant."""
    if technology is not None:
        known = technologies().get(technology)
        if known is not None and known.limit_set is None:
            return None
    concentrate = kind == NEW_CONCENTRATE or (kind != PREMIX and strong)
    received = load_set("received_concentrate" if concentrate else "received_mix")
    partial = _OPEN_BECAUSE.get(open_because, "")
    if concentrate or kind == PREMIX:
        of_kind = received_goods_rules().sets["concentrate" if concentrate else "premix"]
        if technology in of_kind and glycol in (None, "ethylene_glycol"):
            received = both_sets(load_set(of_kind[str(technology)]), received)
        elif glycol in of_kind:
            received = both_sets(load_set(of_kind[str(glycol)]), received)
        else:
            partial = partial or _NO_GLYCOL_TYPE
    return replace(received, partial=partial) if partial else received


def judge_goods(judged: Judged, goods: Goods) -> ReceivedGoods:
    """Say of new coolant whether it is what it should be, as strong, and clean.

    Parameters
    ----------
    judged : Judged
        The headline.
    goods : Goods
        From `find_goods`.

    Returns
    -------
    ReceivedGoods
        Of what answers each question the worst state counts: outside, undecided, warning,
        inside. Where identity cannot be decided nothing makes it better than undecided.
    """
    row = goods.row
    state = np.full((row.size, len(ASPECTS)), NOT_JUDGED, dtype=np.int8)
    aspects = received_goods_rules().aspects
    for k, name in enumerate(ASPECTS):
        rank = np.full(row.size, -1)
        for j, quantity in enumerate(judged.quantities):
            if quantity.key in aspects[name]:
                found = judged.state[row, j]
                for code, height in _RANK.items():
                    rank = np.where(found == code, np.maximum(rank, height), rank)
        for code, height in _RANK.items():
            state[rank == height, k] = code
    identity = ASPECTS.index("identity")
    cannot = (goods.open_because != _KNOWN) & (state[:, identity] != OUTSIDE)
    state[cannot | (state[:, identity] == NOT_JUDGED), identity] = UNDECIDED
    return ReceivedGoods(row, state, *_named_references(judged.readings.samples, goods.reference))


def _named_references(
    samples: pd.DataFrame, reference: FleetReference
) -> tuple[npt.NDArray[np.intp], tuple[tuple[str, ...], ...]]:
    """Name the references of each sample; one that is a reference itself has the others."""
    code = reference.group.copy()
    named = [_names(samples, members) for members in reference.members]
    for k in np.flatnonzero(np.isin(reference.row, np.concatenate(reference.members))).tolist():
        code[k] = len(named)
        named.append(_names(samples, reference.of(k)))
    return code, tuple(named)


def _names(samples: pd.DataFrame, rows: Rows) -> tuple[str, ...]:
    """Name samples by their id, else by their row; of many the first."""
    few = samples[["sample_id", "row"]].iloc[rows[:REFERENCES_NAMED]]
    names = [
        str(name) if isinstance(name, str) else f"row {row}"
        for name, row in few.itertuples(index=False)
    ]
    more = rows.size - len(names)
    return (*names, f"{more} more") if more else tuple(names)
