"""A whole check as one JSON document, written stretch by stretch."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from types import MappingProxyType
from typing import Any, BinaryIO

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa

from chemcheck.assessment.dispositions import DISPOSITIONS
from chemcheck.assessment.record import Assessment
from chemcheck.judging.record import STATE_NAMES, VERDICT_NAMES, Judged
from chemcheck.judging.result_values import probability_outside, result_values
from chemcheck.limit_library import all_cautions
from chemcheck.readings.record import PROBLEM_COLUMNS, QUESTION_COLUMNS
from chemcheck.readings.text_codes import text_codes
from chemcheck.reports.cause_json import causes_json, no_causes
from chemcheck.reports.check_rows import (
    BlockResults,
    block_results,
    blocks,
    dates,
    in_order,
    probabilities,
)
from chemcheck.reports.check_summary import document_head
from chemcheck.reports.json_text import json_strings, json_value
from chemcheck.reports.received_words import REFERENCE, received_texts
from chemcheck.reports.text_pieces import (
    U_DIGITS,
    Pieces,
    each_row,
    joined_rows,
    numbers,
    of_texts,
    text_of,
    whole_numbers,
)
from chemcheck.reports.told_json import ToldSamples

CHECK_SCHEMA = "chemcheck/check/1"

Places = npt.NDArray[np.int64]


# What another answer says of each sample of a stretch, begun with a comma.
Further = Callable[[slice], pa.LargeStringArray]


def write_check_json(
    assessment: Assessment,
    file: BinaryIO,
    *,
    all_results: bool = True,
    schema: str = CHECK_SCHEMA,
    head: Mapping[str, Any] = MappingProxyType({}),
    questions: pd.DataFrame | None = None,
    further: Further | None = None,
) -> None:
    """Write a check as JSON, or an answer that says more of the same samples.

    Parameters
    ----------
    assessment : Assessment
        What was found.
    file : binary file
        Open for writing.
    all_results : bool, default True
        Whether every result is written, or only those that are not plainly inside.
    schema : str
        The document's schema.
    head : mapping
        What the document says besides, before the samples.
    questions : DataFrame, optional
        All questions; by default those of the readings.
    further : callable, optional
        What is said of each sample besides, after its cautions.

    Notes
    -----
    Samples are written in stretches, so that memory does not grow with their number. NaN
    and infinity are null: the open end of a reading, and what does not exist.
    """
    told = ToldSamples(assessment)
    begun = {**document_head(assessment, schema), **head, "told_in_full": told.head()}
    begun["assumptions"] = [*begun["assumptions"], *told.assumptions()]
    begun["caution_texts"] = {key: each.text for key, each in all_cautions().items()}
    opened = json_value(begun)
    file.write(opened[:-1].encode())
    file.write(b', "samples": [')
    judged = assessment.headline
    opening, closing = _sample_writer(assessment, told, further)
    texts = _result_texts(judged)

    for block in blocks(judged.verdict.size):
        found = block_results(judged, block, all_results=all_results)
        results = _result_rows(judged, texts, found)
        work = partial(_samples, opening, closing, found, results)
        for written in in_order(work, block):
            file.write(text_of(written))
    file.write(b'], "rejected": [')
    _write_rows(file, assessment.readings.rejected, PROBLEM_COLUMNS)
    file.write(b'], "questions": [')
    asked = assessment.readings.questions if questions is None else questions
    _write_rows(file, asked, QUESTION_COLUMNS)
    file.write(b"]}\n")


Writer = Callable[[slice], pa.LargeStringArray]


def _sample_writer(
    assessment: Assessment, told: ToldSamples, further: Further | None
) -> tuple[Writer, Writer]:
    """Return what writes the samples of a stretch up to their results, and after them."""
    judged, samples = assessment.headline, assessment.readings.samples
    row = samples["row"].to_numpy(dtype=np.int64)
    day = dates(samples["taken_on"], "null", '"', '"')
    words = {
        "material": _coded(*text_codes(samples["material"])),
        "technology": _coded(*text_codes(samples["technology"])),
        "verdict": _coded(judged.verdict, VERDICT_NAMES),
        "verdicts": _verdicts(assessment),
        "disposition": _coded(assessment.disposition, DISPOSITIONS),
        "because": _coded(assessment.because, assessment.because_texts),
    }
    files = _coded(*text_codes(samples["file"]))
    ids = {name: _text_column(samples[name]) for name in ("sample_id", "unit_id")}

    def opening(rows: slice) -> pa.LargeStringArray:
        size = rows.stop - rows.start
        start = np.minimum(np.arange(size) + rows.start, 1)
        pieces = [
            of_texts(['{"file": ', ',\n{"file": '], start),
            _part(files, rows),
            _constant(', "row": ', size),
            whole_numbers(row[rows], ""),
        ]
        for name, column in ids.items():
            pieces += [
                _constant(f', "{name}": ', size),
                each_row(json_strings(column.slice(rows.start, size))),
            ]
        pieces += [_constant(', "taken_on": ', size), _part(day, rows)]
        for name, each in words.items():
            pieces += [_constant(f', "{name}": ', size), _part(each, rows)]
        return joined_rows([*pieces, _constant(', "results": [', size)])

    cautions = [
        f', "cautions": {json_value(keys)}'
        for keys in (*(each.cautions for each in judged.sets), ())
    ]

    received = _received(assessment)

    def closing(rows: slice) -> pa.LargeStringArray:
        size = rows.stop - rows.start
        pieces = [_constant('], "causes": ', size)]
        if assessment.causes is None:
            pieces.append(_constant(no_causes(), size))
        else:
            pieces.append(each_row(causes_json(assessment.causes, rows)))
        pieces += [
            _constant(', "balances": ', size),
            told.balances(rows),
            _constant(', "remedies": ', size),
            told.remedies(rows),
            of_texts(cautions, judged.set_of_sample[rows]),
        ]
        if received is not None:
            pieces.append(_part(received, rows))
        if further is not None:
            pieces.append(each_row(further(rows)))
        return joined_rows([*pieces, _constant("}", size)])

    return opening, closing


def _received(assessment: Assessment) -> Pieces | None:
    """Return what is said of new coolant, null for other samples; None where there is none."""
    received = assessment.received
    if received is None:
        return None
    n = assessment.headline.verdict.size
    columns = list(received_texts(received, n))
    key = np.full(n, -1, dtype=np.int64)
    key[received.row] = 0
    for _, code, texts in columns:
        key[received.row] = key[received.row] * len(texts) + code[received.row]
    place, keys = pd.factorize(key)
    said = []
    for each in keys.tolist():
        fields: dict[str, Any] | None = None
        if each >= 0:
            at = int(np.argmax(key == each))
            fields = {name: texts[int(code[at])] for name, code, texts in columns}
            fields[REFERENCE] = list(received.references[int(columns[-1][1][at])])
        said.append(f', "received": {json_value(fields)}')
    return Pieces(pa.array(said, pa.large_string()), np.asarray(place, dtype=np.int64))


def _coded(code: npt.NDArray[np.integer], names: Sequence[str]) -> Pieces:
    """Return pieces of few distinct texts as JSON strings, null for -1."""
    table = json_strings(pa.array([*names, None], pa.large_string()))
    return Pieces(table, np.where(code < 0, len(names), code))


def _verdicts(assessment: Assessment) -> Pieces:
    """Return the verdicts of each sample by limit set."""
    columns: list[tuple[str, npt.NDArray[np.int8]]] = []
    headline = assessment.headline
    for k, each in enumerate(headline.sets):
        used = headline.set_of_sample == k
        columns.append((each.id, np.where(used, headline.verdict, np.int8(-1))))
    for other in assessment.judged[1:]:
        used = other.set_of_sample >= 0
        columns.append((other.sets[0].id, np.where(used, other.verdict, np.int8(-1))))
    key = np.zeros(headline.verdict.size, dtype=np.int64)
    parts: list[tuple[str, int]] = []
    for name in dict.fromkeys(name for name, _ in columns):
        verdict = np.max([column for each, column in columns if each == name], axis=0)
        key = key * (len(VERDICT_NAMES) + 1) + verdict + 1
        parts.append((name, len(VERDICT_NAMES) + 1))
    code, keys = pd.factorize(key)
    texts = [json_value(_by_set(int(each), [name for name, _ in parts])) for each in keys]
    return Pieces(pa.array(texts, pa.large_string()), code)


def _by_set(key: int, names: Sequence[str]) -> dict[str, str]:
    """Read the verdicts by set back from their number."""
    answer = {}
    for name in reversed(names):
        key, verdict = divmod(key, len(VERDICT_NAMES) + 1)
        if verdict:
            answer[name] = VERDICT_NAMES[verdict - 1]
    return dict(reversed(answer.items()))


def _result_texts(judged: Judged) -> tuple[list[str], list[str]]:
    """Return the texts of quantities, and those of states by decisive bound."""
    quantities = [
        _open_ended({"analyte": q.key, "basis": q.basis, "unit": q.unit}) + '"lower": '
        for q in judged.quantities
    ]
    tails = []
    for bound in (*judged.bounds, None):
        known = dict.fromkeys(("side", "kind", "limit_set", "source", "evidence"))
        if bound is not None:
            known = {name: getattr(bound, name) for name in known}
        tails += [
            ", " + _open_ended({"state": state} | known)[1:] + '"probability_outside": {"lower": '
            for state in STATE_NAMES
        ]
    return quantities, tails


def _open_ended(fields: Mapping[str, Any]) -> str:
    """Write the first fields of an object."""
    return json_value(fields)[:-1] + ", "


def _result_rows(
    judged: Judged, texts: tuple[list[str], list[str]], found: BlockResults
) -> pa.LargeStringArray:
    """Write each distinct result as an object."""
    quantities, tails = texts
    rows, quantity = found.row, found.quantity
    values = result_values(judged, rows, quantity)
    least, greatest = probability_outside(judged, rows, quantity, values)
    decisive, state = judged.decisive[rows, quantity], judged.state[rows, quantity]
    bound = np.where(decisive < 0, len(judged.bounds), decisive.astype(np.int64))
    return joined_rows(
        [
            of_texts(quantities, quantity),
            numbers(values.lower, "null", ', "upper": '),
            numbers(values.upper, "null", ', "u": '),
            numbers(values.u, "null", ', "bound": ', U_DIGITS),
            numbers(values.bound, "null", ""),
            of_texts(tails, bound * len(STATE_NAMES) + state),
            probabilities(least, "null", ', "upper": '),
            probabilities(greatest, "null", "}}"),
        ]
    )


def _samples(
    opening: Writer,
    closing: Writer,
    block: BlockResults,
    results: pa.LargeStringArray,
    rows: slice,
) -> pa.LargeStringArray:
    """Write a stretch of samples, the results of each between its opening and its closing."""
    found = block.of(rows)
    n, m = rows.stop - rows.start, found.sample.size
    count = np.bincount(found.sample, minlength=n)
    before = np.cumsum(count) - count
    # Two places of each result: the comma before it, and the result.
    places = np.empty(2 * n + 2 * m, dtype=np.int64)
    start = 2 * np.arange(n) + 2 * before
    places[start] = np.arange(n)
    places[start + 1 + 2 * count] = n + len(results) + np.arange(n)
    at = 2 * np.arange(m) + 2 * found.sample + 1
    first = np.arange(m) == before[found.sample]
    comma = 2 * n + len(results)
    places[at] = comma + first
    places[at + 1] = n + found.code
    separators = pa.array([", ", ""], pa.large_string())
    table = pa.concat_arrays([opening(rows), results, closing(rows), separators])
    return table.take(pa.array(places))


def _constant(text: str, size: int) -> Pieces:
    return Pieces(pa.array([text], pa.large_string()), np.zeros(size, dtype=np.int64))


def _part(whole: Pieces, rows: slice) -> Pieces:
    return Pieces(whole.table, whole.code[rows])


def _text_column(column: pd.Series) -> pa.Array:
    array = pa.array(column.astype("str"), pa.large_string())
    return array.combine_chunks() if isinstance(array, pa.ChunkedArray) else array


def _write_rows(file: BinaryIO, table: pd.DataFrame, columns: Sequence[str]) -> None:
    """Write the lines of a table of problems or questions as objects."""
    ready = table[list(columns)].astype(object)
    ready = ready.where(ready.notna(), None)
    for start in range(0, len(ready), 10_000):
        lines: list[dict[Any, Any]] = ready.iloc[start : start + 10_000].to_dict("records")
        text = ",\n".join(json_value(line) for line in lines)
        file.write((",\n" if start else "").encode() + text.encode())
