"""The results of every file put together as readings."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa

from chemcheck.intake.duplicates import Duplicates, find_duplicates
from chemcheck.intake.set_aside import (
    FileLines,
    Lines,
    assumption_table,
    question_table,
    rejected_table,
)
from chemcheck.readings.record import (
    ABSENT,
    DUPLICATE_COLUMNS,
    SAMPLE_COLUMNS,
    Coded,
    FileRead,
    ReadingColumn,
    Readings,
)

_UNKNOWN = Coded(np.broadcast_to(np.int16(-1), (0, 0)), ())


@dataclass(frozen=True, slots=True)
class RepeatedRows:
    """Rows of a long table that say again what another row of their sample says.

    Parameters
    ----------
    row : ndarray of int64, shape (n,)
        The rows as a spreadsheet numbers them.
    sample : ndarray of int64, shape (n,)
        Their samples, as positions in their file's samples.
    kept_row : ndarray of int64, shape (n,)
        The rows that count.
    """

    row: npt.NDArray[np.int64]
    sample: npt.NDArray[np.int64]
    kept_row: npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class FileResults:
    """What one file gives, before samples are compared with those of other files.

    Parameters
    ----------
    name, layout, found : str
        As in a `FileRead`.
    rows_read : int
        Rows with anything in them, below the header.
    samples : DataFrame, n_samples rows
        As in `Readings`, without the file's name.
    columns : tuple of ReadingColumn
        What each column of the arrays measures; no two are equal.
    lower, upper, status : ndarray, shape (n_samples, n_columns), Fortran order
        As in `Readings`.
    shared_factor : ndarray of float32, shape (n_samples, n_columns), or None
        None where no reading has one.
    method, laboratory, lot : Coded
        Of each reading; by default unknown.
    lines : FileLines
        What is to be said of the file.
    dates_as_written : Series or None
        The date of each sample as text, where dates were set aside.
    repeated : RepeatedRows or None
        None where each row is a sample; else each row is a result.
    decimal : {".", ","} or None
        The decimal mark, where some number proves it.
    date_order : {"dmy", "mdy", "ymd"} or None
        The order of day and month, where some date proves it.
    """

    name: str
    layout: str
    found: str
    rows_read: int
    samples: pd.DataFrame
    columns: tuple[ReadingColumn, ...]
    lower: npt.NDArray[np.float64]
    upper: npt.NDArray[np.float64]
    status: npt.NDArray[np.int8]
    shared_factor: npt.NDArray[np.float32] | None = None
    method: Coded = _UNKNOWN
    laboratory: Coded = _UNKNOWN
    lot: Coded = _UNKNOWN
    lines: FileLines = field(default_factory=FileLines)
    dates_as_written: pd.Series | None = None
    repeated: RepeatedRows | None = None
    decimal: str | None = None
    date_order: str | None = None

    def rows_of_samples(self) -> npt.NDArray[np.int64]:
        """Return how many rows each sample was made of."""
        if self.repeated is None:
            return np.ones(len(self.samples), dtype=np.int64)
        again = np.bincount(self.repeated.sample, minlength=len(self.samples))
        return np.asarray((self.status != ABSENT).sum(axis=1) + again, dtype=np.int64)


def assemble(files: Sequence[FileResults]) -> Readings:
    """Put the results of all files together, each sample once.

    Parameters
    ----------
    files : sequence of FileResults
        In the order given.

    Returns
    -------
    Readings
        Samples in the order of the files and their rows. A sample that stands twice with
        the same content is kept once; samples of one number and day that contradict each
        other are set aside, all of them.
    """
    columns = tuple(dict.fromkeys(column for file in files for column in file.columns))
    samples = _samples(files)
    lower = _stacked(files, columns, [file.lower for file in files], np.nan)
    upper = _stacked(files, columns, [file.upper for file in files], np.nan)
    status = _stacked(files, columns, [file.status for file in files], ABSENT)
    found = find_duplicates(samples, lower, upper, status, _dates_as_written(files))
    kept = np.ones(len(samples), dtype=bool)
    kept[found.repeats] = kept[found.contradictory] = False
    ends = np.cumsum([0, *(len(file.samples) for file in files)]).tolist()
    parts = [slice(start, end) for start, end in pairwise(ends)]
    said = [
        _with_duplicates(file.lines, samples, part, found)
        for file, part in zip(files, parts, strict=True)
    ]
    shape = (int(kept.sum()), len(columns))
    shared = np.broadcast_to(np.float32(1), shape)
    if any(file.shared_factor is not None for file in files):
        factors = [file.shared_factor for file in files]
        shared = _rows(_stacked(files, columns, factors, np.float32(1)), kept)
    named = list(zip(files, said, parts, strict=True))
    return Readings(
        samples if kept.all() else samples[kept].reset_index(drop=True),
        columns,
        _rows(lower, kept),
        _rows(upper, kept),
        _rows(status, kept),
        shared,
        _coded(files, columns, [file.method for file in files], kept),
        _coded(files, columns, [file.laboratory for file in files], kept),
        _coded(files, columns, [file.lot for file in files], kept),
        tuple(_file_read(file, part, found) for file, _, part in named),
        _joined([rejected_table(file.name, lines, kept[part]) for file, lines, part in named]),
        _joined([question_table(file.name, lines, kept[part]) for file, lines, part in named]),
        _duplicate_table(samples, found, files, [kept[part] for part in parts]),
        assumption_table([(file.name, lines) for file, lines, _ in named]),
    )


def _file_read(file: FileResults, part: slice, found: Duplicates) -> FileRead:
    """Count the rows of one file: with a sample go all rows it was made of."""
    rows = file.rows_of_samples()
    again, bad = (
        places[_within(places, part)] - part.start
        for places in (found.repeats, found.contradictory)
    )
    duplicate = int(rows[again].sum())
    if file.repeated is not None:
        gone = np.zeros(len(rows), dtype=bool)
        gone[again] = gone[bad] = True
        duplicate += int((~gone[file.repeated.sample]).sum())
    rejected = file.lines.rejected_rows + int(rows[bad].sum())
    return FileRead(file.name, file.layout, file.found, file.rows_read, rejected, duplicate)


def _samples(files: Sequence[FileResults]) -> pd.DataFrame:
    tables = [file.samples.assign(file=_repeat(file.name, len(file.samples))) for file in files]
    samples = tables[0] if len(tables) == 1 else pd.concat(tables, ignore_index=True)
    free = [name for name in samples.columns if name not in SAMPLE_COLUMNS]
    return samples[[*SAMPLE_COLUMNS, *free]]


def _repeat(text: str, count: int) -> pd.Series:
    return pd.Series(pa.repeat(pa.scalar(text, pa.large_string()), count), dtype="str")


def _dates_as_written(files: Sequence[FileResults]) -> pd.Series | None:
    if all(file.dates_as_written is None for file in files):
        return None
    parts = [
        pd.Series(None, index=range(len(file.samples)), dtype="str")
        if file.dates_as_written is None
        else file.dates_as_written
        for file in files
    ]
    return pd.concat(parts, ignore_index=True)


def _stacked(
    files: Sequence[FileResults],
    columns: tuple[ReadingColumn, ...],
    arrays: Sequence[npt.NDArray[Any] | None],
    fill: Any,
) -> npt.NDArray[Any]:
    """Put one array of every file together; what a file lacks is ``fill``."""
    if len(files) == 1 and arrays[0] is not None:
        return arrays[0]  # its columns are all the columns
    rows = sum(len(file.samples) for file in files)
    stacked = np.full((rows, len(columns)), fill, order="F")
    start = 0
    for file, array in zip(files, arrays, strict=True):
        end = start + len(file.samples)
        if array is not None:
            for place, column in enumerate(file.columns):
                stacked[start:end, columns.index(column)] = array[:, place]
        start = end
    return stacked


def _rows(array: npt.NDArray[Any], kept: npt.NDArray[np.bool_]) -> npt.NDArray[Any]:
    """Take the rows that are kept, column by column; what is the same all over stays one."""
    if kept.all():
        return array
    shape = (int(kept.sum()), array.shape[1])
    if 0 in array.strides:
        small = array[:1] if array.strides[0] == 0 else array[kept]
        return np.broadcast_to(small[:, :1] if array.strides[1] == 0 else small, shape)
    taken = np.empty(shape, array.dtype, order="F")
    for place in range(shape[1]):
        np.compress(kept, array[:, place], out=taken[:, place])
    return taken


def _coded(
    files: Sequence[FileResults],
    columns: tuple[ReadingColumn, ...],
    coded: Sequence[Coded],
    kept: npt.NDArray[np.bool_],
) -> Coded:
    """Put the methods (or laboratories, or lots) of all files under one numbering."""
    names = tuple(dict.fromkeys(text for one in coded for text in one.names))
    if not names:
        return Coded(np.broadcast_to(np.int16(-1), (int(kept.sum()), len(columns))), ())
    if len(files) == 1:
        return Coded(_rows(coded[0].codes, kept), names)
    numbers = [
        np.array([*(names.index(text) for text in one.names), -1], dtype=np.int16) for one in coded
    ]
    arrays = [
        number[one.codes] if one.names else None for number, one in zip(numbers, coded, strict=True)
    ]
    return Coded(_rows(_stacked(files, columns, arrays, np.int16(-1)), kept), names)


def _with_duplicates(
    lines: FileLines, samples: pd.DataFrame, part: slice, found: Duplicates
) -> FileLines:
    """Add the lines about samples of one file that stand more than once."""
    bad = _within(found.contradictory, part)
    twice = _within(found.elsewhere, part)
    rows, questions = list(lines.rows), list(lines.questions)
    if bad.any():
        place, other = found.contradictory[bad], found.other[bad]
        said = ("other results of the same sample and date in ", "; neither is used")
        rows.append(_about_samples(samples, place, other, said))
    if twice.any():
        place, other = found.elsewhere[twice], found.twin[twice]
        said = ("also in ", ", with another unit or other columns: is it the same sample?")
        about = _about_samples(samples, place, other, said)
        questions.append(replace(about, column="sample_id", sample=place - part.start))
    return replace(lines, rows=rows, questions=questions)


def _within(places: npt.NDArray[np.int64], part: slice) -> npt.NDArray[np.bool_]:
    return np.asarray((places >= part.start) & (places < part.stop))


def _about_samples(
    samples: pd.DataFrame,
    place: npt.NDArray[np.int64],
    other: npt.NDArray[np.int64],
    said: tuple[str, str],
) -> Lines:
    """Say where else a sample stands."""
    here, there = samples.iloc[place].reset_index(drop=True), samples.iloc[other]
    there = there.reset_index(drop=True)
    called = here["sample_id"].fillna(here["unit_id"]).fillna("")
    where = "row " + there["row"].astype("str")
    where = where.where(there["file"] == here["file"], there["file"] + ", " + where)
    text, problem = (pa.array(x, pa.string()) for x in (called, said[0] + where + said[1]))
    return Lines(None, here["row"].to_numpy(dtype=np.int64), text, problem)


def _duplicate_table(
    samples: pd.DataFrame,
    found: Duplicates,
    files: Sequence[FileResults],
    kept: Sequence[npt.NDArray[np.bool_]],
) -> pd.DataFrame:
    """Write the samples, and the results of samples that are kept, which stand twice."""
    repeats, first = samples.iloc[found.repeats], samples.iloc[found.first]
    table = repeats[["file", "row", "sample_id"]].reset_index(drop=True)
    table["kept_row"] = first["row"].to_numpy()
    table["kept_file"] = first["file"].reset_index(drop=True)
    tables = [table]
    for file, here in zip(files, kept, strict=True):
        if file.repeated is not None and len(file.repeated.row):
            tables.append(_repeated_results(file, file.repeated, here))
    return _joined([one[list(DUPLICATE_COLUMNS)] for one in tables if len(one) or one is table])


def _repeated_results(
    file: FileResults, repeated: RepeatedRows, kept: npt.NDArray[np.bool_]
) -> pd.DataFrame:
    here = kept[repeated.sample]
    number = file.samples["sample_id"].take(repeated.sample[here]).reset_index(drop=True)
    name = _repeat(file.name, int(here.sum()))
    rows = {"row": repeated.row[here], "kept_row": repeated.kept_row[here]}
    return pd.DataFrame({"file": name, "sample_id": number, "kept_file": name} | rows)


def _joined(tables: Sequence[pd.DataFrame]) -> pd.DataFrame:
    return tables[0] if len(tables) == 1 else pd.concat(tables, ignore_index=True)
