"""Verdicts, results, rejected cells and questions as CSV files."""

import csv
import io
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.csv

from chemcheck.assessment.dispositions import DISPOSITIONS
from chemcheck.assessment.frames import result_lists
from chemcheck.assessment.record import Assessment
from chemcheck.judging.record import STATE_NAMES, VERDICT_NAMES, Judged
from chemcheck.judging.result_values import probability_outside, result_values
from chemcheck.readings.record import PROBLEM_COLUMNS, QUESTION_COLUMNS
from chemcheck.readings.text_codes import text_codes
from chemcheck.reports.check_rows import (
    BlockResults,
    block_results,
    blocks,
    dates,
    in_order,
    probabilities,
)
from chemcheck.reports.received_words import RECEIVED_COLUMNS, received_texts
from chemcheck.reports.spreadsheet_safe import csv_fields, without_formulas
from chemcheck.reports.text_pieces import (
    U_DIGITS,
    Pieces,
    concatenated,
    each_row,
    joined_rows,
    numbers,
    of_texts,
    text_of,
    whole_numbers,
    with_end,
)

IDENTITY = ("file", "row", "sample_id", "unit_id")
VERDICT_COLUMNS = (
    *IDENTITY,
    "taken_on",
    "material",
    "technology",
    "verdict",
    "disposition",
    "because",
    "limit_set",
    "outside",
    "undecided",
    "warnings",
    "missing",
    "unreadable",
)
RESULT_COLUMNS = (
    *IDENTITY,
    "analyte",
    "basis",
    "unit",
    "lower",
    "upper",
    "u",
    "bound",
    "state",
    "side",
    "kind",
    "limit_set",
    "source",
    "evidence",
    "probability_outside_lower",
    "probability_outside_upper",
)
LINE_END = "\n"

# A piece of the rows of a stretch.
OfStretch = Callable[[slice], Pieces]
# The place of each row's text, and the texts.
Texts = tuple[npt.NDArray[np.integer], Sequence[str]]


def write_check_csv(assessment: Assessment, folder: Path, *, all_results: bool = False) -> None:
    """Write verdicts.csv, results.csv, rejected.csv and questions.csv.

    Parameters
    ----------
    assessment : Assessment
        What was found.
    folder : Path
        Where to write.
    all_results : bool, default False
        Whether results.csv holds every result, not only those that are not plainly inside.

    Notes
    -----
    verdicts.csv has a row for every sample, results.csv one for every result of the
    headline's sets. Where there is new coolant, verdicts.csv says of it in four more columns
    its identity, strength and contamination, and what it was held against. An open end of a
    reading, and what does not exist, is an empty field. Text from the input cannot become a
    formula.
    """
    judged = assessment.headline
    identity = identity_rows(assessment.readings.samples)
    verdict = _verdict_pieces(assessment)
    result = _result_tables(judged)

    further = [f"verdict by {other.name}" for other in assessment.judged[1:]]
    if assessment.received is not None:
        further += RECEIVED_COLUMNS
    with (
        (folder / "verdicts.csv").open("wb") as verdicts,
        (folder / "results.csv").open("wb") as results,
    ):
        verdicts.write(_line([*VERDICT_COLUMNS, *further]).encode())
        results.write(_line(RESULT_COLUMNS).encode())
        for block in blocks(judged.verdict.size):
            found = block_results(judged, block, all_results=all_results)
            fields = _result_fields(judged, found.row, found.quantity, result)
            work = partial(_rows, identity, verdict, found, fields)
            for of_samples, of_results in in_order(work, block):
                verdicts.write(text_of(of_samples))
                results.write(text_of(of_results))
    _write_table(assessment.readings.rejected, PROBLEM_COLUMNS, folder / "rejected.csv")
    _write_table(assessment.readings.questions, QUESTION_COLUMNS, folder / "questions.csv")


def identity_rows(samples: pd.DataFrame) -> Callable[[slice], pa.LargeStringArray]:
    """Return what writes the first fields of the samples of a stretch, with a last comma."""
    files, names = text_codes(samples["file"])
    file_texts = csv_fields(pa.array([*names, ""], pa.large_string()))
    file_table = with_end(file_texts, ",")
    row = samples["row"].to_numpy(dtype=np.int64)
    sample_id, unit_id = (_texts(samples[name]) for name in ("sample_id", "unit_id"))

    def of(rows: slice) -> pa.LargeStringArray:
        code = files[rows]
        return joined_rows(
            [
                Pieces(file_table, np.where(code < 0, len(names), code)),
                whole_numbers(row[rows], ","),
                each_row(with_end(csv_fields(_slice(sample_id, rows)), ",")),
                each_row(with_end(csv_fields(_slice(unit_id, rows)), ",")),
            ]
        )

    return of


def _verdict_pieces(assessment: Assessment) -> list[OfStretch]:
    """Return what writes the fields of a sample after its identity."""
    judged, samples = assessment.headline, assessment.readings.samples
    day = dates(samples["taken_on"], ",", "", ",")
    fields: list[Texts] = [
        text_codes(samples["material"]),
        text_codes(samples["technology"]),
        (judged.verdict, VERDICT_NAMES),
        (assessment.disposition, DISPOSITIONS),
        (assessment.because, assessment.because_texts),
        (judged.set_of_sample, tuple(s.id for s in judged.sets)),
    ]
    lists: list[Texts] = list(result_lists(judged).values())
    for other in assessment.judged[1:]:
        lists.append((np.where(other.set_of_sample < 0, -1, other.verdict), VERDICT_NAMES))
    if assessment.received is not None:
        of_new_coolant = received_texts(assessment.received, judged.verdict.size)
        lists += [(code, texts) for _, code, texts in of_new_coolant]
    pieces = [_fields(fields, ",")]
    pieces += [_fields([each], ",") for each in lists[:-1]]
    pieces.append(_fields(lists[-1:], LINE_END))
    return [_of_stretch(piece) for piece in (day, *pieces)]


def _of_stretch(whole: Pieces) -> OfStretch:
    return lambda rows: Pieces(whole.table, whole.code[rows])


def _fields(columns: Sequence[Texts], end: str) -> Pieces:
    """Write fields of few distinct texts, those that go together as one piece."""
    key = np.zeros(columns[0][0].size, dtype=np.int64)
    for code, names in columns:
        key *= len(names) + 1
        key += code
        key += 1  # 0 stands for unknown
    code, keys = pd.factorize(key)
    parts = []
    for _, names in reversed(columns):
        keys, place = np.divmod(keys, len(names) + 1)
        parts.append(csv_fields(pa.array(["", *names], pa.large_string()).take(pa.array(place))))
    joined: list[pa.Array | str] = []
    for part in reversed(parts):
        joined += [part, ","]
    return Pieces(concatenated(*joined[:-1], end), code)


def _result_tables(judged: Judged) -> tuple[list[str], list[str]]:
    """Return the texts of quantities, and those of states by decisive bound."""
    quantities = [_line([q.key, q.basis or "", q.unit], end=",") for q in judged.quantities]
    tails = []
    for bound in (*judged.bounds, None):
        for state in STATE_NAMES:
            known = [""] * 5
            if bound is not None:
                known = [bound.side or "", bound.kind, bound.limit_set]
                known += [bound.source, bound.evidence]
            fields = without_formulas(pa.array([state, *known])).to_pylist()
            tails.append(_line(fields, end=","))
    return quantities, tails


def _rows(
    identity: Callable[[slice], pa.LargeStringArray],
    verdict: Sequence[OfStretch],
    found: BlockResults,
    fields: pa.LargeStringArray,
    rows: slice,
) -> tuple[pa.LargeStringArray, pa.LargeStringArray]:
    """Write the rows of verdicts.csv and results.csv for a stretch of samples."""
    who = identity(rows)
    of_samples = joined_rows([each_row(who), *(piece(rows) for piece in verdict)])
    here = found.of(rows)
    return of_samples, joined_rows([Pieces(who, here.sample), Pieces(fields, here.code)])


def _result_fields(
    judged: Judged,
    rows: npt.NDArray[np.int64],
    quantity: npt.NDArray[np.int64],
    tables: tuple[list[str], list[str]],
) -> pa.LargeStringArray:
    """Write the fields of results after the identity of their samples."""
    values = result_values(judged, rows, quantity)
    least, greatest = probability_outside(judged, rows, quantity, values)
    quantities, tails = tables
    decisive, state = judged.decisive[rows, quantity], judged.state[rows, quantity]
    bound = np.where(decisive < 0, len(judged.bounds), decisive.astype(np.int64))
    return joined_rows(
        [
            of_texts(quantities, quantity),
            numbers(values.lower, "", ","),
            numbers(values.upper, "", ","),
            numbers(values.u, "", ",", U_DIGITS),
            numbers(values.bound, "", ","),
            of_texts(tails, bound * len(STATE_NAMES) + state),
            probabilities(least, "", ","),
            probabilities(greatest, "", LINE_END),
        ]
    )


def _line(fields: Sequence[str], end: str = LINE_END) -> str:
    """Write one line of CSV."""
    text = io.StringIO()
    csv.writer(text, lineterminator=end).writerow(fields)
    return text.getvalue()


def _texts(column: pd.Series) -> pa.Array:
    """Return a column of text as one array of arrow."""
    array = pa.array(column.astype("str"), pa.large_string())
    return array.combine_chunks() if isinstance(array, pa.ChunkedArray) else array


def _slice(array: pa.Array, rows: slice) -> pa.Array:
    return array.slice(rows.start, rows.stop - rows.start)


def _write_table(table: pd.DataFrame, columns: Sequence[str], path: Path) -> None:
    """Write a table of problems or questions."""
    arrays = []
    for name in columns:
        column = table[name]
        if pd.api.types.is_numeric_dtype(column.dtype):
            arrays.append(pa.array(column.to_numpy(dtype=object), pa.int64(), from_pandas=True))
        else:
            arrays.append(_guarded(column))
    pyarrow.csv.write_csv(
        pa.table(dict(zip(columns, arrays, strict=True))),
        str(path),
        pyarrow.csv.WriteOptions(quoting_style="needed"),
    )


def _guarded(column: pd.Series) -> pa.Array:
    """Return a column of free text that cannot become a formula; the writer quotes it."""
    return without_formulas(_texts(column))
