"""Waters to mix: read from files or from values, each as one row of readings."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import analyte as analyte_of
from chemcheck.errors import IntakeError, Problem, QuantityError, shorten
from chemcheck.intake.intervals_given import readings_of_intervals
from chemcheck.intake.quantities import read_quantities
from chemcheck.intake.read import read_results
from chemcheck.readings.record import ReadingColumn, Readings
from chemcheck.readings.sample_types import OF_THE_LABORATORY, rows_of_type
from chemcheck.remedies.deionised_water import deionised_up_to, deionised_water
from chemcheck.remedies.source_text import SourceText, check_sources

Ends = tuple[float, float]

_NAMES_SHOWN = 6
_NONE = "Source {} conducts too well to be deionised water: what was not read of it is not assumed."
_REST = "Of source {} what was not read is assumed, as of deionised water."


@dataclass(frozen=True, slots=True)
class Waters:
    """Waters to mix.

    Parameters
    ----------
    sources : tuple of SourceText
        As they were written, n_waters.
    readings : Readings
        A row for each: of a source with several samples the interval that spans them.
    samples : tuple of int
        How many samples stand behind each; 0 for what is assumed.
    pure : tuple of bool
        Whether each is deionised water, and does not conduct too well for it.
    taken : tuple of Readings
        What was read, with what was set aside.
    assumptions : tuple of str
        What was assumed, one line each.
    """

    sources: tuple[SourceText, ...]
    readings: Readings
    samples: tuple[int, ...]
    pure: tuple[bool, ...]
    taken: tuple[Readings, ...]
    assumptions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Water:
    ends: dict[ReadingColumn, Ends]
    method: str | None
    samples: int
    taken: Readings | None
    told: tuple[str, ...]


def read_waters(
    sources: Sequence[SourceText],
    *,
    columns: str | Path | None = None,
    decimal: str | None = None,
    date_order: str | None = None,
) -> Waters:
    """Read what each source holds.

    Parameters
    ----------
    sources : sequence of SourceText
        As they were written.
    columns, decimal, date_order
        As for `chemcheck.read_results`.

    Returns
    -------
    Waters
        One row a source.

    Raises
    ------
    QuantityError
        Where sources cannot be mixed, or a file does not say which sample is meant.
    IntakeError
        Where nothing can be read of one, or a value cannot be.
    """
    given = tuple(sources)
    check_sources(given)
    waters = []
    for source in given:
        if source.is_assumed:
            water = _Water({}, None, 0, None, ())
        elif source.file is None:
            water = _of_values(source, decimal)
        else:
            water = _of_file(
                source,
                read_results(
                    [source.file],
                    columns,
                    decimal=decimal,
                    date_order=date_order,
                    material="water",
                ),
            )
        waters.append(water)
    keys = dict.fromkeys(column for water in waters for column in water.ends)
    told = [line for water in waters for line in water.told]
    pure = []
    for source, water in zip(given, waters, strict=True):
        pure.append(source.is_deionised and not _conducts(water.ends))
        if pure[-1]:
            told.extend(_fill_in(source, water.ends, keys))
        elif source.is_deionised:
            told.append(_NONE.format(source.name))
    every = tuple(dict.fromkeys(column for water in waters for column in water.ends))
    readings = readings_of_intervals(
        [source.name for source in given],
        {
            column: tuple(  # type: ignore[misc]  # two ends
                np.array([water.ends.get(column, (np.nan, np.nan))[end] for water in waters])
                for end in (0, 1)
            )
            for column in every
        },
        file="sources",
        methods=[water.method for water in waters],
    )
    return Waters(
        sources=given,
        readings=readings,
        samples=tuple(water.samples for water in waters),
        pure=tuple(pure),
        taken=tuple(water.taken for water in waters if water.taken is not None),
        assumptions=tuple(told),
    )


def _of_values(source: SourceText, decimal: str | None) -> _Water:
    readings = read_quantities(
        source.values, name=f"source {source.name}", material="water", decimal=decimal
    )
    if len(readings.rejected):
        raise IntakeError(
            [
                Problem(
                    file=str(row["file"]),
                    row=None,
                    column=str(row["column"]),
                    text=str(row["text"]),
                    problem=str(row["problem"]),
                )
                for row in readings.rejected.to_dict("records")
            ]
        )
    return _spanned(source, readings, np.arange(len(readings.samples)))


def _of_file(source: SourceText, readings: Readings) -> _Water:
    """Choose the samples of a source, by its name where the file holds several waters."""
    samples = readings.samples
    usable = (samples["material"] == "water").to_numpy(dtype=np.bool_, copy=True)
    usable[rows_of_type(samples, OF_THE_LABORATORY)] = False
    if not usable.any():
        message = f"source {source.name!r}: {source.file} holds no sample of water"
        raise QuantityError(message)
    wanted = source.name.casefold()
    named = usable & np.logical_or.reduce(
        [
            (samples[key].str.casefold() == wanted).to_numpy(dtype=np.bool_, na_value=False)
            for key in ("unit_id", "sample_id")
        ]
    )
    rows = np.flatnonzero(named if named.any() else usable)
    if not named.any() and rows.size > 1:
        units = samples["unit_id"].iloc[rows]
        if units.isna().any() or units.nunique() > 1:
            found = units.fillna(samples["sample_id"].iloc[rows]).dropna().unique()
            shown = ", ".join(repr(shorten(str(name), 30)) for name in found[:_NAMES_SHOWN])
            more = f" and {len(found) - _NAMES_SHOWN} more" if len(found) > _NAMES_SHOWN else ""
            message = (
                f"source {source.name!r}: {source.file} holds {rows.size} samples of several waters"
                f" ({shown}{more}): name the source as one of them"
            )
            raise QuantityError(message)
    return _spanned(source, readings, rows)


def _spanned(source: SourceText, readings: Readings, rows: npt.NDArray[np.intp]) -> _Water:
    """Span the samples of one source: its worst sample counts for every bound."""
    ends: dict[ReadingColumn, Ends] = {}
    for place, column in enumerate(readings.columns):
        lower, upper = readings.lower[rows, place], readings.upper[rows, place]
        read = ~np.isnan(lower)
        if read.any():
            ends[column] = float(lower[read].min()), float(upper[read].max())
    if not ends:
        message = f"source {source.name!r}: no reading of it could be used"
        raise QuantityError(message)
    codes = np.unique(readings.method.codes[rows])
    method = readings.method.names[codes[0]] if codes.size == 1 and codes[0] >= 0 else None
    told: tuple[str, ...] = ()
    if rows.size > 1:
        told = (
            f"Source {source.name}: {rows.size} samples; for every bound the worst of them counts.",
        )
    return _Water(ends, method, int(rows.size), readings, told)


def _fill_in(
    source: SourceText, read: dict[ReadingColumn, Ends], others: dict[ReadingColumn, None]
) -> tuple[str, ...]:
    """Fill in what is assumed of deionised water and was not read."""
    some = bool(read)
    have = {column.analyte for column in read}
    for key, value in deionised_water().items():
        if key not in have:
            bases = analyte_of(key).bases
            usual = ReadingColumn(key, bases[0].key if bases else None)
            places = [column for column in others if column.analyte == key] or [usual]
            read.update(dict.fromkeys(places, (value.lower, value.upper)))
    return (_REST.format(source.name),) if some else ()


def _conducts(read: dict[ReadingColumn, Ends]) -> bool:
    """Say whether a water conducts too well to be deionised."""
    most = deionised_up_to()
    return any(ends[1] > most for column, ends in read.items() if column.analyte == "conductivity")
