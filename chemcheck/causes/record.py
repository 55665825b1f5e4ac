"""What is said of causes: ranked hypotheses, and whether the technology stated is borne out."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.causes.evidence import evidence
from chemcheck.causes.plan import Plan, make_plan
from chemcheck.causes.ranking import Ranking, rank
from chemcheck.causes.references import find_references
from chemcheck.causes.tap_water import find_tap_water
from chemcheck.causes.weighed import weigh
from chemcheck.chemistry.range_record import Range
from chemcheck.limit_library.causes import signatures
from chemcheck.limit_library.records import Evidence
from chemcheck.readings.record import Readings

# Above so many samples causes are weighed only where they are shown, so that a large batch is
# judged as fast as it is read: to weigh and write them takes about 0.4 s of a processor for
# 100,000 samples, which a check of 1,000,000 in three times the reading has no room for.
MOST_LISTED = 200_000
# So many samples are weighed at once: few enough for a processor's cache.
STRETCH = 1 << 14


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One cause of a sample, with what speaks for it and against it.

    Parameters
    ----------
    cause, title : str
        Key and words.
    weight_of_evidence : float
        log10 of the likelihood ratio, by all that was read and the cause names.
    evidence_for, evidence_against, missing : tuple of str
        What speaks for it, what against it, and what it names and was not read, each in
        one sentence.
    least, most : float
        What the weight would be if everything missing spoke against it, or for it: a
        reading that is left out never raises the one nor lowers the other.
    raised : bool
        Whether it is raised by what the causes before it leave unexplained; the others
        only look alike.
    confirm_by, remedy : str
        The test that proves or rules it out, and what to do.
    cautions : tuple of str
        Keys of cautions.
    looks_like : tuple of str
        What else looks like it.
    source, evidence : str
        Who says so, and how well it is known.
    """

    cause: str
    title: str
    weight_of_evidence: float
    evidence_for: tuple[str, ...]
    evidence_against: tuple[str, ...]
    missing: tuple[str, ...]
    least: float
    most: float
    raised: bool
    confirm_by: str
    remedy: str
    cautions: tuple[str, ...]
    looks_like: tuple[str, ...]
    source: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class TechnologyCheck:
    """Whether the readings bear out the technology that was stated.

    Parameters
    ----------
    stated : str or None
        The technology's key.
    supported : {"yes", "no", "cannot tell"}
        Whether they do.
    contradicts, supports : tuple of str
        Keys of analytes that speak against it, and for it.
    candidates : tuple of str
        Technologies that nothing read contradicts and something supports: proposed, never
        assigned.
    """

    stated: str | None
    supported: Literal["yes", "no", "cannot tell"]
    contradicts: tuple[str, ...]
    supports: tuple[str, ...]
    candidates: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CauseFindings:
    """All that is said of the causes of one sample.

    Parameters
    ----------
    hypotheses : tuple of Hypothesis
        The likeliest first.
    alike : tuple of str
        Keys of the causes that its readings do not tell apart; empty where the first stands
        alone.
    next_test : str or None
        The test that best separates the first two; None where there are not two.
    technology : TechnologyCheck or None
        Whether its readings bear out its technology; None of what is no coolant of a unit.
    """

    hypotheses: tuple[Hypothesis, ...]
    alike: tuple[str, ...]
    next_test: str | None
    technology: TechnologyCheck | None


@dataclass(frozen=True)
class Causes:
    """Causes of all samples; weighed when asked for, a stretch at a time.

    Parameters
    ----------
    readings : Readings
        All samples.
    log : DataFrame or None
        Events: a change begins a new fill.
    uncertainty : ndarray of float32, shape (n_samples, n_columns)
        Standard uncertainty of each reading [canonical unit].
    top_up_water : mapping of str to Range, optional
        What the user says that the tap water holds [canonical unit].
    """

    readings: Readings
    log: pd.DataFrame | None
    uncertainty: npt.NDArray[np.float32]
    top_up_water: Mapping[str, Range] | None = None

    @cached_property
    def plan(self) -> Plan:
        """What is weighed, and against what."""
        references = find_references(self.readings, self.log)
        water = find_tap_water(self.readings, self.uncertainty, self.log, self.top_up_water)
        return make_plan(
            self.readings, references, self.uncertainty, tuple(signatures().values()), water
        )

    def prepare(self, rows: npt.NDArray[np.intp]) -> None:
        """Weigh several samples in one: that is much quicker than one by one.

        Parameters
        ----------
        rows : ndarray of int
            Positions of those that will be told of.
        """
        known = self.plan.weighed
        new = np.array([row for row in rows.tolist() if row not in known], dtype=np.intp)
        for start in range(0, new.size, STRETCH):
            stretch = new[start : start + STRETCH]
            known.update(zip(stretch.tolist(), evidence(self.plan, stretch).T, strict=True))

    def of_sample(self, row: int) -> tuple[Hypothesis, ...]:
        """Return the causes of one sample, the likeliest first.

        Parameters
        ----------
        row : int
            Position of the sample.

        Returns
        -------
        tuple of Hypothesis
            Those that any key reading speaks for, at most five; none where nothing moved.
        """
        return next(self.of_rows(np.array([row])))

    def of_rows(self, rows: npt.NDArray[np.intp]) -> Iterator[tuple[Hypothesis, ...]]:
        """Yield the causes of several samples, in their order.

        Parameters
        ----------
        rows : ndarray of int
            Positions of the samples.
        """
        from chemcheck.causes.sentences import hypotheses  # builds the records of this file

        for start in range(0, len(rows), STRETCH):
            yield from hypotheses(weigh(self.plan, rows[start : start + STRETCH]))

    def findings(self, rows: npt.NDArray[np.intp]) -> Iterator[CauseFindings]:
        """Yield all that is said of the causes of several samples, in their order.

        Parameters
        ----------
        rows : ndarray of int
            Positions of the samples.
        """
        from chemcheck.causes.next_test import alike, next_test
        from chemcheck.causes.sentences import hypotheses
        from chemcheck.causes.technology import technologies_of

        for start in range(0, len(rows), STRETCH):
            stretch = weigh(self.plan, rows[start : start + STRETCH])
            technologies = technologies_of(self.plan, stretch.rows)
            in_use = self.plan.references.use[stretch.rows]
            for i, (found, technology) in enumerate(
                zip(hypotheses(stretch), technologies, strict=True)
            ):
                yield CauseFindings(
                    hypotheses=found,
                    alike=tuple(self.plan.causes[c].key for c in alike(stretch, i)),
                    next_test=next_test(stretch, i) if len(found) > 1 else None,
                    technology=technology if in_use[i] else None,
                )

    def ranked(self, rows: slice) -> Ranking:
        """Return the causes of a stretch of samples as numbers, without a word.

        Parameters
        ----------
        rows : slice
            The stretch, best of `STRETCH` samples.
        """
        return rank(self.plan, evidence(self.plan, rows), rows)

    def rankings(self) -> Iterator[tuple[slice, Ranking]]:
        """Go through all samples, and yield each stretch with its causes as numbers, in order."""
        # A second thread gains nothing: each row's arithmetic is too short to run beside another's.
        n = len(self.readings.samples)
        for start in range(0, n, STRETCH):
            rows = slice(start, min(start + STRETCH, n))
            yield rows, self.ranked(rows)

    def next_test(self, row: int) -> str | None:
        """Return the one test that best separates the leading two causes of a sample.

        Parameters
        ----------
        row : int
            Position of the sample.

        Returns
        -------
        str or None
            None where no cause is raised.
        """
        from chemcheck.causes.next_test import next_test

        return next_test(weigh(self.plan, np.array([row])), 0)

    def alike(self, row: int) -> tuple[str, ...]:
        """Return the titles of causes that a sample's readings do not tell apart.

        Parameters
        ----------
        row : int
            Position of the sample.

        Returns
        -------
        tuple of str
            The first cause and those that rest on the same moves with as much weight; empty
            where the first stands alone.
        """
        from chemcheck.causes.next_test import alike

        same = alike(weigh(self.plan, np.array([row])), 0)
        return tuple(self.plan.causes[c].title for c in same)

    def technology(self, row: int) -> TechnologyCheck:
        """Return whether a sample's readings bear out its technology.

        Parameters
        ----------
        row : int
            Position of the sample.
        """
        from chemcheck.causes.technology import technologies_of

        return technologies_of(self.plan, np.array([row]))[0]
