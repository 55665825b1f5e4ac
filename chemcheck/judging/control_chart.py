"""Check standards: whether a laboratory was in control when it measured."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import MATERIALS, vocabulary
from chemcheck.errors import Problem
from chemcheck.intake.stated_values import stated_values
from chemcheck.judging.individuals_chart import individuals_chart
from chemcheck.limit_library import default_method, find_method, precision_of
from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.settings import check_file_node, check_settings, read_evidence
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import CHECK_STANDARD, rows_of_type

# States of a standard's result.
IN_CONTROL, TO_WATCH, FAILED = (np.int8(k) for k in range(3))
STANDARD_STATES = ("in control", "to watch", "failed")
_WITHOUT_ZERO = ("pH", "temperature")
Places = npt.NDArray[np.intp]
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ControlResults:
    """Every result of every check standard that has a certified value.

    Parameters
    ----------
    row, column : ndarray of int, shape (n,)
        Position of the sample and of the column of readings.
    laboratory, method : ndarray of int16, shape (n,)
        Codes as in the readings.
    certified : ndarray of float64, shape (n,)
        [canonical unit].
    deviation : ndarray of float64, shape (n, 2)
        Least and greatest deviation from the certified value: a share of it, or the
        difference where the scale has no natural zero.
    tolerance : ndarray of float64, shape (n,)
        How far it may be, in the same terms.
    chart : ndarray of float64, shape (n, 2)
        Limits of the laboratory's own chart of deviations, NaN where it has too few.
    state : ndarray of int8, shape (n,)
        ``IN_CONTROL``, ``TO_WATCH`` or ``FAILED``.
    problems : tuple of Problem
        Standards without a certified value, one line each, and cells that were not read.
    """

    row: Places
    column: Places
    laboratory: npt.NDArray[np.int16]
    method: npt.NDArray[np.int16]
    certified: Floats
    deviation: Floats
    tolerance: Floats
    chart: Floats
    state: npt.NDArray[np.int8]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far standards of some analytes may be from their certified value.

    Parameters
    ----------
    analytes, materials : frozenset of str
        Whose.
    value : float
        Share of the certified value.
    source, evidence : str
        Who says so, and how well it is known.
    """

    analytes: frozenset[str]
    materials: frozenset[str]
    value: float
    source: str
    evidence: str


def check_standards(readings: Readings) -> ControlResults | None:
    """Hold every result of a check standard against its certified value and its chart.

    Parameters
    ----------
    readings : Readings
        With samples of the type ``check standard`` and their certified values in a column.

    Returns
    -------
    ControlResults or None
        None where there is no check standard, which costs one look at the sample types.

    Notes
    -----
    A result fails where all it may be is further from the certified value than the
    tolerance (``limits/checks/control.yaml``). From ``chart_from`` results of one
    laboratory, method and analyte on it also fails where it is beyond the limits of their
    individuals chart and further from the certified value than the method's standard
    uncertainty; beyond the limits but nearer is to watch.
    """
    rows = rows_of_type(readings.samples, (CHECK_STANDARD,))
    if not rows.size:
        return None
    stated = stated_values(readings, rows, "certified")
    without = rows[~np.isin(rows, stated.row)]
    problems = (*stated.problems, *(_no_value(readings, row) for row in without.tolist()))
    read = ~np.isnan(readings.lower[stated.row, stated.column])
    row, column, certified = stated.row[read], stated.column[read], stated.value[read]
    order = np.lexsort(
        (
            readings.samples["row"].to_numpy()[row],
            _files(readings)[row],
            _day(readings)[row],
            column,
        )
    )
    row, column, certified = row[order], column[order], certified[order]
    relative = np.array(
        [vocabulary()[c.analyte].dimension not in _WITHOUT_ZERO for c in readings.columns]
    )[column]
    relative &= certified > 0
    size = np.where(relative, certified, 1.0)
    ends = np.column_stack([readings.lower[row, column], readings.upper[row, column]])
    deviation = (ends - certified[:, None]) / size[:, None]
    uncertainty = _uncertainty(readings, row, column, certified) / size
    tolerance = _tolerances(readings, row, column, uncertainty)
    laboratory = readings.laboratory.codes[row, column]
    method = readings.method.codes[row, column]
    nearest = np.where(deviation[:, 0] > 0, deviation[:, 0], np.minimum(deviation[:, 1], 0.0))
    failed = np.abs(nearest) > tolerance
    chart = _charts(column, laboratory, method, relative, deviation)
    with np.errstate(invalid="ignore"):  # no chart
        beyond = (deviation[:, 1] < chart[:, 0]) | (deviation[:, 0] > chart[:, 1])
    failed |= beyond & (np.abs(nearest) > uncertainty)
    state = np.where(failed, FAILED, np.where(beyond, TO_WATCH, IN_CONTROL)).astype(np.int8)
    return ControlResults(
        row, column, laboratory, method, certified, deviation, tolerance, chart, state, problems
    )


@cache
def control_tolerances() -> tuple[Tolerance, ...]:
    """Return the tolerances that the library states by analyte.

    Raises
    ------
    LimitFileError
        If the file is damaged.

    Examples
    --------
    >>> control_tolerances()[0].value
    0.05
    """
    node = check_file_node("control").mapping()["tolerances"]
    return tuple(_tolerance(entry) for entry in node.mapping().values())


def _tolerance(node: Located) -> Tolerance:
    names = ("analytes", "materials", "value", "source", "evidence")
    fields = node.fields(names, names)
    return Tolerance(
        frozenset(each.one_of(vocabulary(), "analyte") for each in fields["analytes"].entries()),
        frozenset(each.one_of(MATERIALS, "material") for each in fields["materials"].entries()),
        fields["value"].number(),
        fields["source"].text(),
        read_evidence(fields["evidence"]),
    )


def _no_value(readings: Readings, row: int) -> Problem:
    sample = readings.samples.iloc[row]
    return Problem(
        str(sample["file"]),
        int(sample["row"]),
        None,
        "" if pd.isna(sample["sample_id"]) else str(sample["sample_id"]),
        "a check standard without a certified value controls nothing: give it in a column "
        "'certified chloride (mg/L)' or under 'standards:' of a columns file (--columns)",
    )


def _day(readings: Readings) -> npt.NDArray[np.int64]:
    return readings.samples["taken_on"].to_numpy("datetime64[s]").astype(np.int64)


def _files(readings: Readings) -> npt.NDArray[np.int64]:
    return np.asarray(pd.factorize(readings.samples["file"])[0], dtype=np.int64)


def _uncertainty(readings: Readings, row: Places, column: Places, values: Floats) -> Floats:
    """Return the standard uncertainty of the method at the certified value."""
    material = (readings.samples["material"].iloc[row] == MATERIALS[1]).to_numpy().astype(int)
    method = readings.method.codes[row, column].astype(np.intp)
    known: Mapping[tuple[int, int, int], tuple[float, float]] = {
        (m, k, j): _precision(readings, m, k, j)
        for m, k, j in set(zip(method.tolist(), material.tolist(), column.tolist(), strict=True))
    }
    parts = np.array(
        [
            known[each]
            for each in zip(method.tolist(), material.tolist(), column.tolist(), strict=True)
        ]
    ).reshape(-1, 2)
    return np.asarray(np.hypot(parts[:, 0], parts[:, 1] * values))


def _precision(readings: Readings, method: int, material: int, column: int) -> tuple[float, float]:
    name = None if method < 0 else readings.method.names[method]
    kind = MATERIALS[material]
    way = (find_method(name, kind) if name else None) or default_method(kind)
    found = precision_of(way, readings.columns[column].analyte)
    return found.absolute, found.relative


def _tolerances(readings: Readings, row: Places, column: Places, uncertainty: Floats) -> Floats:
    """Return how far each standard may be from its certified value."""
    times = check_settings("control")["tolerance_in_uncertainties"].value
    answer = times * uncertainty
    material = readings.samples["material"].iloc[row].to_numpy()
    for each in control_tolerances():
        of = np.array([c.analyte in each.analytes for c in readings.columns])[column]
        answer[of & np.isin(material, list(each.materials))] = each.value
    return answer


def _charts(
    column: Places,
    laboratory: npt.NDArray[np.int16],
    method: npt.NDArray[np.int16],
    relative: npt.NDArray[np.bool_],
    deviation: Floats,
) -> Floats:
    """Return the limits of the chart that each result belongs to."""
    least = check_settings("control")["chart_from"].value
    chart = np.full(deviation.shape, np.nan)
    keys = np.column_stack([column, laboratory, method, relative])
    exact = (deviation[:, 0] == deviation[:, 1]) & np.isfinite(deviation[:, 1])
    for key in np.unique(keys[exact], axis=0):
        here = np.flatnonzero((keys == key).all(axis=1) & exact)
        if here.size >= least:
            drawn = individuals_chart(deviation[here, 0], revise=True)
            chart[here] = drawn.lower, drawn.upper
    return chart
