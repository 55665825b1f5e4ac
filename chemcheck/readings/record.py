"""Readings: every result as an interval, whole columns at a time."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

# What became of a cell. An absent cell is one whose column its file does not have.
READ, BLANK, REJECTED, ABSENT = np.int8(0), np.int8(1), np.int8(2), np.int8(3)

SAMPLE_COLUMNS = (
    "file",
    "row",
    "sample_id",
    "unit_id",
    "taken_on",
    "material",
    "technology",
    "glycol_type",
    "sample_type",
    "sampling_point",
    "hours",
    "distance",
    "days",
)
PROBLEM_COLUMNS = ("file", "row", "column", "text", "problem", "cells")
QUESTION_COLUMNS = ("file", "row", "column", "text", "question")
DUPLICATE_COLUMNS = ("file", "row", "sample_id", "kept_row", "kept_file")
ASSUMPTION_COLUMNS = ("file", "column", "assumption")


@dataclass(frozen=True, slots=True)
class ReadingColumn:
    """What one column of readings measures.

    Parameters
    ----------
    analyte : str
        A key of the vocabulary.
    basis : str or None
        A key of the analyte's bases, None where it has only one.
    """

    analyte: str
    basis: str | None = None


@dataclass(frozen=True, slots=True)
class Coded:
    """Text of each reading (its method, laboratory or lot), stored once per distinct text.

    Parameters
    ----------
    codes : ndarray of int16, shape (n_samples, n_columns)
        Position in ``names``; -1 where unknown. Often a broadcast view of one column.
    names : tuple of str
        The distinct texts.
    """

    codes: npt.NDArray[np.int16]
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FileRead:
    """How one file was read, said to the user in one line.

    Parameters
    ----------
    name : str
        The file as the user named it; ``-`` is standard input.
    layout : str
        ``wide``, ``long``, ``wqx``, or ``wqx limits`` for detection limits beside results.
    found : str
        Encoding, separator, decimal mark, date order: what was recognised.
    rows_read : int
        Rows with anything in them, below the header. In a wide file each is a sample, a
        duplicate or rejected (a line for several units counts once for each); in a long
        one (``long``, ``wqx``) each is a result: a cell of its sample (read, blank or
        rejected), a duplicate or rejected; a file of limits holds none.
    rejected_rows : int
        Rows of which nothing could be used.
    duplicate_rows : int
        Rows that say again what another row says.
    """

    name: str
    layout: str
    found: str
    rows_read: int
    rejected_rows: int
    duplicate_rows: int = 0


@dataclass(frozen=True, slots=True)
class Readings:
    """Samples and their readings.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        ``SAMPLE_COLUMNS`` first, then the free columns under their own headers, as text.
        ``taken_on`` is datetime64 (NaT unknown); ``material`` is water or coolant;
        ``technology`` and ``glycol_type`` are null where unknown; ``sample_type`` is
        routine unless the file says otherwise; ``hours`` [h], ``distance`` [km] and
        ``days`` [d] are the usage axes (NaN unknown).
    columns : tuple of ReadingColumn
        What each column of the arrays measures; no two are equal.
    lower, upper : ndarray of float64, shape (n_samples, n_columns), Fortran order
        The ends of each reading [the analyte's canonical unit]. Equal where exact,
        NaN in both where there is no reading, ``upper`` infinite above a range.
    status : ndarray of int8, shape (n_samples, n_columns)
        ``READ``, ``BLANK``, ``REJECTED`` or ``ABSENT``.
    shared_factor : ndarray of float32, shape (n_samples, n_columns)
        By how much ``upper`` is raised because ``ppm`` may be mg/kg or mg/L: one
        unknown for the whole file, so trends divide it out. 1 where there is none.
    method, laboratory, lot : Coded
        Of each reading.
    files : tuple of FileRead
        In the order given.
    rejected : DataFrame
        ``PROBLEM_COLUMNS``; ``cells`` is how many cells a line stands for.
    questions, duplicates, assumptions : DataFrame
        ``QUESTION_COLUMNS``, ``DUPLICATE_COLUMNS``, ``ASSUMPTION_COLUMNS``. A duplicate is
        the row that was dropped; it names the row and file of the one kept.
    """

    samples: pd.DataFrame
    columns: tuple[ReadingColumn, ...]
    lower: npt.NDArray[np.float64]
    upper: npt.NDArray[np.float64]
    status: npt.NDArray[np.int8]
    shared_factor: npt.NDArray[np.float32]
    method: Coded
    laboratory: Coded
    lot: Coded
    files: tuple[FileRead, ...]
    rejected: pd.DataFrame
    questions: pd.DataFrame
    duplicates: pd.DataFrame
    assumptions: pd.DataFrame
    logged: pd.DataFrame | None = None

    def position(self, analyte: str, basis: str | None = None) -> int | None:
        """Return where the column of an analyte stands, None if it was not read.

        Without a basis the first column of the analyte counts.
        """
        for place, column in enumerate(self.columns):
            if column.analyte == analyte and basis in (None, column.basis):
                return place
        return None
