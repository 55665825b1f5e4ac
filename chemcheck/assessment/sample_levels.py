"""One sample as columns of levels and bounds, for what can be done about it."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.causes.reading_ends import COVERAGE
from chemcheck.judging.bound_tables import ROLES, matches
from chemcheck.judging.record import OUTSIDE, UNDECIDED, Judged
from chemcheck.limit_library.records import LimitSet

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

# What mixes in proportion: amounts in a volume, and shares of it. Reserve alkalinity counts
# acid taken up in a volume.
MIXING = frozenset(
    {
        "mass concentration",
        "as calcium carbonate",
        "volume fraction",
        "reserve alkalinity",
    }
)
_NO_AMOUNTS = ("density",)
GLYCOL, PH, FREEZING = "glycol", "ph", "freezing_point"


@dataclass(frozen=True)
class SampleLevels:
    """Levels of one sample and the bounds that hold for it, by column of readings.

    Parameters
    ----------
    judged : Judged
        All samples.
    row : int
        Position of the sample.
    fresh : int
        Position of its fresh fill; -1 where there is none.
    confirm : bool
        Whether what is found has to be confirmed before anything costly is done.
    """

    judged: Judged
    row: int
    fresh: int
    confirm: bool = False

    @property
    def limit_set(self) -> LimitSet:
        """The set that judged the sample."""
        return self.judged.sets[int(self.judged.set_of_sample[self.row])]

    @cached_property
    def technology(self) -> str | None:
        """The coolant's technology, None where nobody stated it."""
        return self._word("technology")

    @cached_property
    def glycol_type(self) -> str | None:
        """Which glycol it holds, None where nobody stated it."""
        return self._word("glycol_type")

    @cached_property
    def analytes(self) -> tuple[str, ...]:
        """Key of each column."""
        return tuple(column.analyte for column in self.judged.readings.columns)

    @cached_property
    def mixes(self) -> Bools:
        """Which columns mix in proportion."""
        known = vocabulary()
        return np.array(
            [known[key].dimension in MIXING and key not in _NO_AMOUNTS for key in self.analytes],
            dtype=np.bool_,
        )

    @cached_property
    def lower(self) -> Floats:
        """Lower ends as reported [canonical units]; NaN where not read."""
        return self._ends(self.judged.readings.lower, self.row)

    @cached_property
    def upper(self) -> Floats:
        """Upper ends as reported [canonical units]; NaN where not read."""
        return self._ends(self.judged.readings.upper, self.row)

    @cached_property
    def margin(self) -> Floats:
        """95 % of the method's uncertainty [canonical units]."""
        width = len(self.analytes)
        spread = self.judged.uncertainty[self.row, :width].astype(np.float64)
        return np.asarray(COVERAGE * np.nan_to_num(spread))

    @cached_property
    def of_fresh(self) -> tuple[Floats, Floats]:
        """Ends of the fresh fill [canonical units]; NaN where not known, or open."""
        if self.fresh < 0:
            nothing = np.full(len(self.analytes), np.nan)
            return nothing, nothing
        readings = self.judged.readings
        lower, upper = (self._ends(one, self.fresh) for one in (readings.lower, readings.upper))
        known = np.isfinite(upper)
        return np.where(known, lower, np.nan), np.where(known, upper, np.nan)

    @cached_property
    def bounds(self) -> Floats:
        """Bounds by role as in `ROLES`, shape (4, n_columns); infinite where there is none."""
        answer = np.full((len(ROLES), len(self.analytes)), np.inf)
        answer[[0, 2]] = -np.inf
        technology, glycol = self.technology, self.glycol_type
        fresh_lower, _ = self.of_fresh
        for limit in self.limit_set.limits:
            if limit.technologies and technology not in limit.technologies:
                continue
            if limit.glycols and glycol not in limit.glycols:
                continue
            for place, column in enumerate(self.judged.readings.columns):
                if not matches(limit, column):
                    continue
                for bound in limit.bounds:
                    value = bound.value * fresh_lower[place] if bound.of_fresh else bound.value
                    if not np.isnan(value):
                        answer[ROLES.index((bound.side, bound.kind)), place] = value
        return answer

    @cached_property
    def troubled(self) -> Bools:
        """Which columns are, or may be, beyond an action bound of a number."""
        width = len(self.analytes)
        state = self.judged.state[self.row, :width]
        decisive = self.judged.decisive[self.row, :width]
        bounds = self.judged.bounds
        by_number = [k >= 0 and bounds[k].side is not None for k in decisive.tolist()]
        return np.isin(state, (OUTSIDE, UNDECIDED)) & np.array(by_number, dtype=np.bool_)

    def side(self, place: int) -> str:
        """Return on which side of its bounds a troubled column is."""
        return str(self.judged.bounds[int(self.judged.decisive[self.row, place])].side)

    def place(self, analyte: str) -> int | None:
        """Return the column in which an analyte was read, None where it was not."""
        for k, key in enumerate(self.analytes):
            if key == analyte and not np.isnan(self.lower[k]):
                return k
        return None

    def _word(self, column: str) -> str | None:
        found = self.judged.readings.samples[column].iloc[self.row]
        return found if isinstance(found, str) else None

    def _ends(self, table: Floats, row: int) -> Floats:
        return np.asarray(table[row], dtype=np.float64)
