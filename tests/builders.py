"""Readings and limit sets built by hand, for tests of what works on them."""

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import pandas as pd

from chemcheck.limit_library.records import (
    AnalyteLimit,
    Bound,
    Condition,
    Kind,
    LimitSet,
    Rule,
    Side,
)
from chemcheck.readings.record import (
    ABSENT,
    ASSUMPTION_COLUMNS,
    BLANK,
    DUPLICATE_COLUMNS,
    PROBLEM_COLUMNS,
    QUESTION_COLUMNS,
    READ,
    REJECTED,
    SAMPLE_COLUMNS,
    Coded,
    FileRead,
    ReadingColumn,
    Readings,
)

# A cell of `readings`: a number, an interval, None for a blank, or these words.
Cell = float | tuple[float, float] | None | str


def readings(
    columns: Mapping[str, Sequence[Cell]],
    *,
    shared: Mapping[str, Sequence[float]] | None = None,
    method: str | None = None,
    **sample_columns: object,
) -> Readings:
    """Build readings from one list of cells a column.

    A column's name is an analyte, or ``analyte:basis``. A cell may be ``"rejected"`` or
    ``"absent"``. Samples are coolant of unknown technology unless told.
    """
    names = tuple(ReadingColumn(*name.split(":")) for name in columns)
    n = len(next(iter(columns.values()))) if columns else 0
    lower = np.full((n, len(names)), np.nan, order="F")
    upper = np.full((n, len(names)), np.nan, order="F")
    status = np.full((n, len(names)), READ, order="F")
    for j, cells in enumerate(columns.values()):
        for i, cell in enumerate(cells):
            if cell is None:
                status[i, j] = BLANK
            elif isinstance(cell, str):
                status[i, j] = {"rejected": REJECTED, "absent": ABSENT}[cell]
            else:
                lower[i, j], upper[i, j] = cell if isinstance(cell, tuple) else (cell, cell)
    factor = np.ones((n, len(names)), dtype=np.float32, order="F")
    for name, values in (shared or {}).items():
        factor[:, list(columns).index(name)] = values
    return Readings(
        samples=samples(n, **sample_columns),
        columns=names,
        lower=lower,
        upper=upper,
        status=status,
        shared_factor=factor,
        method=_coded(n, len(names), method),
        laboratory=_coded(n, len(names), None),
        lot=_coded(n, len(names), None),
        files=(FileRead("built.csv", "wide", "built by hand", n, 0),),
        rejected=pd.DataFrame(columns=list(PROBLEM_COLUMNS)),
        questions=pd.DataFrame(columns=list(QUESTION_COLUMNS)),
        duplicates=pd.DataFrame(columns=list(DUPLICATE_COLUMNS)),
        assumptions=pd.DataFrame(columns=list(ASSUMPTION_COLUMNS)),
    )


def samples(n: int, **columns: object) -> pd.DataFrame:
    """Build a table of samples; what is not given is unknown."""
    unknown = dict.fromkeys(SAMPLE_COLUMNS)
    usual: dict[str, object] = {
        **unknown,
        "file": "built.csv",
        "row": np.arange(2, n + 2),
        "sample_id": [f"S{k}" for k in range(n)],
        "taken_on": pd.NaT,
        "material": "coolant",
        "sample_type": "routine",
        "hours": np.nan,
        "distance": np.nan,
        "days": np.nan,
    }
    table = pd.DataFrame({**usual, **columns}, index=range(n))
    text = [name for name in SAMPLE_COLUMNS if name not in _NUMBERS]
    table["taken_on"] = pd.to_datetime(table["taken_on"])
    return table.astype(dict.fromkeys(text, "str"))


_NUMBERS = ("row", "taken_on", "hours", "distance", "days")


def bound(side: Side, value: float, kind: Kind = "action", *, of_fresh: bool = False) -> Bound:
    """Build a bound with invented words."""
    return Bound(side, kind, value, of_fresh, None, "Something happens.", "invented", "memory")


def limit(
    analyte: str,
    *bounds: Bound,
    basis: str | None = None,
    conditions: Sequence[Condition] = (),
    technologies: Sequence[str] = (),
) -> AnalyteLimit:
    """Build the bounds of an analyte."""
    return AnalyteLimit(
        analyte, basis, bounds, tuple(conditions), technologies=frozenset(technologies)
    )


def limit_set(
    *limits: AnalyteLimit,
    id: str = "built",
    essential: Sequence[str] = (),
    rules: Sequence[Rule] = (),
    material: str = "coolant",
    technologies: Sequence[str] = (),
    partial: str = "",
) -> LimitSet:
    """Build a limit set that no file holds."""
    return LimitSet(
        id=id,
        version="1",
        title=f"built {id}",
        material="water" if material == "water" else "coolant",
        technologies=frozenset(technologies),
        glycols=frozenset(),
        use="fill water" if material == "water" else "coolant in service",
        essential=tuple(essential),
        limits=limits,
        rules=tuple(rules),
        cautions=(),
        note="",
        sha256="0" * 64,
        path=Path("built.yaml"),
        partial=partial,
    )


def _coded(n: int, width: int, name: str | None) -> Coded:
    codes = np.full((n, 1), -1 if name is None else 0, dtype=np.int16)
    return Coded(np.broadcast_to(codes, (n, width)), () if name is None else (name,))
