"""The answer on fill water: may it be mixed with concentrate, and how much of it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.check import Limits, check
from chemcheck.assessment.record import Assessment
from chemcheck.assessment.source_blends import source_blends
from chemcheck.assessment.water_ends import estimated_solids, reading_ends
from chemcheck.assessment.water_in_use import WaterInUse, water_in_use
from chemcheck.chemistry.normal import quantile
from chemcheck.history.record import Events
from chemcheck.judging import Judged
from chemcheck.judging.figure_plan import figure_plan
from chemcheck.judging.water_cross_checks import Interval
from chemcheck.judging.water_figures import IndexTemperature, usual_temperatures
from chemcheck.judging.water_source import source_outlook
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.record import Readings
from chemcheck.remedies.deionised_water import AssumedValue, deionised_water
from chemcheck.remedies.system_in_use import SystemInUse
from chemcheck.remedies.water_blend import WaterBlend, blend_with_deionised

PURE_WATER = "pure_water"


@dataclass(frozen=True, slots=True)
class SetBlend:
    """What deionised water can do for the waters that one limit set judges.

    Parameters
    ----------
    limit_set : LimitSet
        What the blend has to meet.
    rows : ndarray of int, shape (m,)
        Position of the waters among the samples.
    blend : WaterBlend
        For each of them, by the readings as reported.
    largest_with_uncertainty : ndarray of float64, shape (m,)
        The largest share that still meets every bound at the unfavourable end of the
        methods' 95 % intervals [1]; NaN where there is none.
    """

    limit_set: LimitSet
    rows: npt.NDArray[np.intp]
    blend: WaterBlend
    largest_with_uncertainty: npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class WaterAssessment:
    """What is said of fill waters.

    Parameters
    ----------
    assessment : Assessment
        Verdicts and states, as `check` gives them.
    blends : tuple of SetBlend
        One for each limit set in use in the headline; every water stands in one at most.
    estimated_solids : Interval
        Dissolved solids that the conductivity allows where none were read, else NaN
        [mg/L]. They count for the share of tap water, not for the verdict.
    deionised : tuple of AssumedValue
        What is assumed of the deionised water.
    questions : DataFrame
        ``QUESTION_COLUMNS``: those of the intake, and readings that disagree.
    outlook : DataFrame
        ``SOURCE_COLUMNS``: what the next sample of each source may hold, of sources with
        several samples.
    temperatures : tuple of IndexTemperature
        What scale and corrosion figures are asked for. They are reckoned where they are written,
        a stretch of waters at a time (`chemcheck.judging.water_figures`).
    searched : bool
        Whether files hold the figures of waters that take a search; not of very many.
    source_blends : DataFrame
        ``SOURCE_BLEND_COLUMNS``: the worst sample of each source with several samples.
    in_use : WaterInUse
        What becomes of them: softened, and in a system as scale and as water held back.
    """

    assessment: Assessment
    blends: tuple[SetBlend, ...]
    estimated_solids: Interval
    deionised: tuple[AssumedValue, ...]
    questions: pd.DataFrame
    outlook: pd.DataFrame
    temperatures: tuple[IndexTemperature, ...]
    searched: bool
    source_blends: pd.DataFrame
    in_use: WaterInUse


def water(
    readings: Readings,
    limits: Limits | Sequence[Limits] | None = None,
    technology: str | None = None,
    *,
    rule: str = "overlap",
    events: Events | None = None,
    temperatures: Sequence[IndexTemperature] | None = None,
    system: SystemInUse | None = None,
) -> WaterAssessment:
    """Judge fill waters, ask what does not fit together, and reckon the blend.

    Parameters
    ----------
    readings : Readings
        The waters. Samples of coolant among them are judged as `check` judges them.
    limits, technology
        As for `check`.
    rule : {"overlap", "simple", "guarded"}
        How uncertainty counts for states and verdicts.
    events : Events, optional
        As for `check`.
    temperatures : sequence of IndexTemperature, optional
        What scale and corrosion figures are asked for; by default as sampled, 25, 60 and
        90 deg C, and the film on a hot wall.
    system : SystemInUse, optional
        Where the water goes: scale and the water held back by a rinse are reckoned for it.

    Returns
    -------
    WaterAssessment
        The answer.

    Raises
    ------
    LimitFileError
        If a limit set cannot be used.
    """
    # The blends below are the remedy of a water.
    assessment = replace(
        check(readings, limits, technology, rule=rule, events=events), remedies=None
    )
    judged = assessment.judged[0]
    estimated = estimated_solids(readings)
    values = deionised_water()
    blends = []
    for position, limit_set in enumerate(judged.sets):
        rows = np.flatnonzero(judged.set_of_sample == position)
        if limit_set.material != "water" or not rows.size:
            continue
        reported = reading_ends(judged, estimated, rows, widened=0.0)
        guarded = reading_ends(judged, estimated, rows, widened=float(quantile(0.975)))
        blends.append(
            SetBlend(
                limit_set=limit_set,
                rows=rows,
                blend=blend_with_deionised(limit_set, values, reported, rows.size),
                largest_with_uncertainty=blend_with_deionised(
                    limit_set, values, guarded, rows.size
                ).share.largest,
            )
        )
    told = usual_temperatures() if temperatures is None else tuple(temperatures)
    plan = figure_plan(assessment.readings, told)
    assessment = replace(assessment, assumptions=(*assessment.assumptions, *plan.assumptions))
    if blends:  # each is with deionised water
        cautions = dict.fromkeys((*assessment.cautions, PURE_WATER))
        assessment = replace(assessment, cautions=tuple(cautions))
    return WaterAssessment(
        assessment=assessment,
        blends=tuple(blends),
        estimated_solids=estimated,
        deionised=tuple(values.values()),
        questions=assessment.readings.questions,
        outlook=source_outlook(assessment.readings, _upper_bounds(judged)),
        temperatures=told,
        searched=plan.searched,
        source_blends=source_blends(
            assessment.readings.samples,
            [(part.limit_set, part.rows, part.blend) for part in blends],
        ),
        in_use=water_in_use(readings, judged, estimated, system),
    )


def _upper_bounds(judged: Judged) -> dict[str, float]:
    """Return the least upper action bound of each analyte in the sets that judge waters."""
    bounds: dict[str, float] = {}
    for limit_set in judged.sets:
        if limit_set.material != "water":
            continue
        for limit in limit_set.limits:
            for bound in limit.bounds:
                if (bound.side, bound.kind, bound.of_fresh) == ("upper", "action", False):
                    bounds[limit.analyte] = min(bound.value, bounds.get(limit.analyte, np.inf))
    return bounds
