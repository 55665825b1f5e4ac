"""What to do with a sample: simple, stated rules over the results that are outside."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

import numpy as np
import numpy.typing as npt
import yaml

from chemcheck.judging.record import FIT, OUTSIDE, BoundInForce, Judged
from chemcheck.judging.result_values import rule_of
from chemcheck.judging.rules import analytes_of, comparisons_of
from chemcheck.limit_library.records import Side

DISPOSITIONS = ("keep", "resample first", "correct in place", "change", "find the fault first")
KEEP, RESAMPLE, CORRECT, CHANGE, FIND_FAULT = (np.int8(k) for k in range(5))

RULES_FILE = Path(__file__).with_name("dispositions.yaml")

# What sets for new coolant are used for; its dispositions are its own.
NEW_COOLANT_USE = "new coolant"

# So much that a bound outside deserves, and why.
Advice = tuple[str, str]


@dataclass(frozen=True, slots=True)
class DispositionRules:
    """The rules of the file.

    Parameters
    ----------
    order : tuple of str
        Dispositions, the one that decides over the others first.
    otherwise : str
        Disposition of what no rule names.
    advice : mapping of (str, str, str) to (str, str)
        By material (or new coolant), analyte and side: the disposition and why.
    """

    order: tuple[str, ...]
    otherwise: str
    advice: Mapping[tuple[str, str, str], Advice]

    def of(self, material: str, analyte: str, side: Side) -> Advice:
        """Return what a reading beyond a bound asks for, and why."""
        return self.advice.get((material, analyte, side), (self.otherwise, _NO_CURE))

    def worst(self, advices: Sequence[Advice]) -> Advice:
        """Return the advice that decides over the others."""
        return min(advices, key=lambda advice: self.order.index(advice[0]))


_NO_CURE = "find out why before anything is added or changed"


@cache
def disposition_rules() -> DispositionRules:
    """Read the rules.

    Examples
    --------
    >>> disposition_rules().of("coolant", "glycol", "lower")[0]
    'correct in place'
    >>> disposition_rules().of("coolant", "chloride", "upper")[0]
    'find the fault first'
    """
    text = RULES_FILE.read_text(encoding="utf-8")
    data = yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    advice = {}
    for material in ("coolant", "water", NEW_COOLANT_USE):
        for rule in data[material]:
            for analyte in rule["of"]:
                key = (material, analyte, rule["side"])
                advice[key] = (rule["disposition"], rule["because"])
    return DispositionRules(tuple(data["order"]), data["otherwise"], MappingProxyType(advice))


def advice_by_bound(judged: Judged) -> tuple[Advice, ...]:
    """Return what a result outside each bound in force asks for.

    Parameters
    ----------
    judged : Judged
        With the bounds.

    Returns
    -------
    tuple of (str, str)
        Disposition and why; of a rule the worst that any of its readings asks for.
    """
    rules = disposition_rules()
    material = {s.id: s.use if s.use == NEW_COOLANT_USE else s.material for s in judged.sets}
    return tuple(
        rules.worst(
            [
                rules.of(material[bound.limit_set], analyte, side)
                for analyte, side in _broken_by(judged, bound)
            ]
        )
        for bound in judged.bounds
    )


def of_new_coolant(judged: Judged, row: int) -> bool:
    """Return whether a sample is judged as new coolant, before it is in any circuit."""
    position = int(judged.set_of_sample[row])
    return position >= 0 and judged.sets[position].use == NEW_COOLANT_USE


def _broken_by(judged: Judged, bound: BoundInForce) -> list[tuple[str, Side]]:
    """Return the analytes, and the side on which they are, where a bound is broken."""
    quantity = judged.quantities[bound.quantity]
    if quantity.column is not None:
        return [(quantity.key, bound.side or "upper")]
    rule = rule_of(judged, bound.quantity)
    sides: list[tuple[str, Side]] = [
        (analyte, part.side)
        for part in comparisons_of(rule.requirement)
        for analyte, _ in part.terms
    ]
    return sides or [(analyte, "upper") for analyte in analytes_of(rule)]


def dispositions(
    judged: Judged, advice: Sequence[Advice]
) -> tuple[npt.NDArray[np.int8], npt.NDArray[np.int16], npt.NDArray[np.int16]]:
    """Say what to do with each sample.

    Parameters
    ----------
    judged : Judged
        All samples.
    advice : sequence of (str, str)
        From `advice_by_bound`.

    Returns
    -------
    disposition : ndarray of int8, shape (n_samples,)
        Position in `DISPOSITIONS`: a fit sample keeps its coolant, an undecided one is
        sampled again first, an unfit one gets what its worst result asks for.
    bound : ndarray of int16, shape (n_samples,)
        The bound that decided the disposition of an unfit sample; -1 for others.
    outside : ndarray of int16, shape (n_samples,)
        How many results are outside.
    """
    order = disposition_rules().order
    # The last place of both serves a sample with nothing outside.
    before = np.array([*(order.index(what) for what, _ in advice), len(order)], dtype=np.int8)
    code = np.array([*(DISPOSITIONS.index(what) for what, _ in advice), RESAMPLE], dtype=np.int8)
    n = judged.verdict.size
    bound = np.full(n, -1, dtype=np.int16)
    outside = np.zeros(n, dtype=np.int16)
    for j in range(len(judged.quantities)):
        at = np.flatnonzero(judged.state[:, j] == OUTSIDE)
        decisive = judged.decisive[at, j]
        outside[at] += 1
        worse = before[decisive] < before[bound[at]]
        bound[at[worse]] = decisive[worse]
    disposition = np.where(judged.verdict == FIT, KEEP, code[bound])
    return disposition, bound, outside
