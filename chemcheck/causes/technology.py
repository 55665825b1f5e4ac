"""The technology that was stated, held against the fingerprint of the readings."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.causes.plan import Plan
from chemcheck.causes.record import TechnologyCheck
from chemcheck.limit_library import technologies
from chemcheck.limit_library.fresh_coolant import Range, fresh_coolant
from chemcheck.readings.record import Readings
from chemcheck.readings.text_codes import text_codes

# One of these alone contradicts; of the others it takes two, since a little of another coolant
# brings one along (memory).
ORGANIC_ACIDS = ("carboxylates", "ethylhexanoate", "sebacate")
LEAST_OTHERS = 2


@dataclass(frozen=True, slots=True)
class Contradicted:
    """Samples whose readings contradict the technology stated.

    Parameters
    ----------
    row : ndarray of int, shape (n,)
        Positions of the samples.
    says : tuple of str
        Of each, what contradicts which technology.
    """

    row: npt.NDArray[np.intp]
    says: tuple[str, ...]


def contradicted(readings: Readings) -> Contradicted:
    """Find the samples that hold what their stated technology does not.

    Parameters
    ----------
    readings : Readings
        All samples.

    Returns
    -------
    Contradicted
        Only where whole readings lie in ranges that contradict, an organic acid or two
        others; what is merely used up does not, nor does any colour.
    """
    technology, names = text_codes(readings.samples["technology"])
    known = fresh_coolant().contradicts
    n = len(technology)
    weight, which = np.zeros(n, dtype=np.int8), np.zeros(n, dtype=np.int64)
    analytes = sorted({key for ranges in known.values() for key in ranges})
    for code, name in enumerate(names):
        for analyte, ends in known.get(name, {}).items():
            place = readings.position(analyte)
            if place is not None:
                beyond = _inside(readings, place, slice(None), ends) & (technology == code)
                weight[beyond] += LEAST_OTHERS if analyte in ORGANIC_ACIDS else 1
                which[beyond] |= 1 << analytes.index(analyte)
    row = np.flatnonzero(weight >= LEAST_OTHERS)
    kinds, kind = np.unique(which[row] * max(len(names), 1) + technology[row], return_inverse=True)
    texts = [_said(analytes, *divmod(int(each), len(names)), names) for each in kinds]
    says = tuple(texts[k] for k in kind)
    return Contradicted(row, says)


def _said(analytes: Sequence[str], which: int, technology: int, names: Sequence[str]) -> str:
    found = [vocabulary()[key].title for place, key in enumerate(analytes) if which >> place & 1]
    verb = "speaks" if len(found) == 1 else "speak"
    return f"{' and '.join(found)} {verb} against {technologies()[names[technology]].title}"


def _inside(
    readings: Readings, place: int, rows: "slice | npt.NDArray[np.intp]", ends: Range
) -> npt.NDArray[np.bool_]:
    """Return where a whole reading lies above, or below, the end that its range has."""
    low, high = ends
    if low > 0:
        return np.asarray(readings.lower[rows, place] > low)
    return np.asarray(readings.upper[rows, place] < high)


def technologies_of(plan: Plan, rows: npt.NDArray[np.intp]) -> list[TechnologyCheck]:
    """Say of some samples whether their readings bear out their technology.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    rows : ndarray of int, shape (n,)
        Positions of the samples.
    """
    technology = plan.references.technology[rows]
    names, speaks = [], []
    for kind in ("contradicts", "shows"):
        for name, ranges in getattr(fresh_coolant(), kind).items():
            for analyte, ends in ranges.items():
                place = plan.readings.position(analyte)
                if place is not None:
                    names.append((kind, name, analyte))
                    speaks.append(_inside(plan.readings, place, rows, ends))
    # Each pattern of what speaks for and against is looked through once.
    patterns, which = np.unique(
        np.array([technology, *speaks], dtype=np.int16), axis=1, return_inverse=True
    )
    said = [_technology(plan, names, pattern.tolist()) for pattern in patterns.T]
    return [said[k] for k in which.ravel().tolist()]


def _technology(
    plan: Plan, names: Sequence[tuple[str, str, str]], pattern: Sequence[int]
) -> TechnologyCheck:
    """Say of one pattern of readings whether it bears the technology out."""
    code, *speaks = pattern
    stated = plan.references.technologies[code] if code >= 0 else None
    found: dict[tuple[str, str], list[str]] = {}
    for (kind, name, analyte), here in zip(names, speaks, strict=True):
        if here:
            found.setdefault((kind, name), []).append(analyte)
    against = found.get(("contradicts", stated or ""), [])
    speaks_for = found.get(("shows", stated or ""), [])
    supported: Literal["yes", "no", "cannot tell"] = "cannot tell"
    if any(key in ORGANIC_ACIDS for key in against) or len(against) >= LEAST_OTHERS:
        supported = "no"
    elif len(speaks_for) >= 2:
        supported = "yes"
    candidates: tuple[str, ...] = ()
    if supported == "no" or stated is None:
        candidates = tuple(
            name
            for name in fresh_coolant().shows
            if name != stated
            and len(found.get(("shows", name), ())) >= 2
            and ("contradicts", name) not in found
        )
    return TechnologyCheck(stated, supported, tuple(against), tuple(speaks_for), candidates)
