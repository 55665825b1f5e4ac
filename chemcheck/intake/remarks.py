"""Cells put together with the flags and detection limits that stand beside them."""

import re
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.errors import shorten
from chemcheck.intake.cell_words import known_word
from chemcheck.intake.characters import plain
from chemcheck.intake.word_lists import word_list

CodedCells = tuple[pa.Array, npt.NDArray[np.int32]]
_Mask = npt.NDArray[np.bool_]

_MARK = re.compile(r"(<=?|>=?|~)")
_BETWEEN_FLAGS = re.compile(r"[\s,;/&+]+")
# What a flag makes of the number beside it.
_BELOW, _ABOVE, _BESIDE, _UNKNOWN = "below", "above", "beside", "unknown"


@dataclass(frozen=True, slots=True)
class Marked:
    """Cells with what stands beside them.

    Parameters
    ----------
    texts : pyarrow string array, shape (n,)
        Distinct texts, as one cell would say it all: ``<0.5``, ``12 J``.
    codes : ndarray of int32, shape (n_rows,)
        Which of them each row has.
    unknown : tuple of (str, ndarray of int64)
        Flags that are not known here, and the rows they stand in beside a number.
    """

    texts: pa.Array
    codes: npt.NDArray[np.int32]
    unknown: tuple[tuple[str, npt.NDArray[np.int64]], ...] = ()


def with_marks(
    values: CodedCells,
    flags: CodedCells | None,
    limits: CodedCells | None,
    limit_unit: str | None = None,
) -> Marked:
    """Put results, flags and detection limits together.

    Parameters
    ----------
    values, flags, limits : (pyarrow string array, ndarray of int32)
        Distinct texts, and which of them each row has; None where there is no such column.
    limit_unit : str, optional
        The unit of the limits, where it is not that of the results.

    Returns
    -------
    Marked
        A result that is flagged as not detected, or is a word that says so, lies below its
        limit; without one below the number beside the flag. An empty cell stays empty
        unless a flag says that it was looked for.

    Examples
    --------
    >>> values = pa.array(["12", "", "ND"]), np.array([0, 0, 1, 2, 1], dtype=np.int32)
    >>> flags = pa.array(["", "<", "U"]), np.array([0, 1, 2, 0, 0], dtype=np.int32)
    >>> limits = pa.array(["0.5"]), np.zeros(5, dtype=np.int32)
    >>> marked = with_marks(values, flags, limits)
    >>> marked.texts.take(pa.array(marked.codes)).to_pylist()
    ['12', '<12', '<0.5', '<0.5', '']
    """
    build = _Build(values, limits, limit_unit)
    unknown: list[tuple[str, npt.NDArray[np.int64]]] = []
    build.put_limits(build.rows_with(build.is_not_detected))
    for number, flag in enumerate(flags[0].to_pylist()) if flags is not None else ():
        meaning, mark = _meaning(plain(flag or ""))
        rows = np.flatnonzero(flags[1] == number) if flags is not None else np.zeros(0, np.int64)
        if not meaning or not len(rows):
            continue
        if meaning == _BELOW:
            build.put_below(rows, mark)
        elif meaning == _UNKNOWN:
            unknown.append((shorten(flag, 20), rows[~build.blank[values[1][rows]]]))
        else:
            build.put_flagged(rows, meaning, mark)
    return Marked(*build.finished(), tuple(one for one in unknown if len(one[1])))


def _meaning(flag: str) -> tuple[str, str]:
    """Return what a flag means, and how it is written at a number."""
    if not flag or (_says_nothing(flag) and not _MARK.fullmatch(flag)):
        return "", ""
    words = [flag] if known_word(flag) is not None else _BETWEEN_FLAGS.split(flag)
    meanings = [_one_meaning(word) for word in words if word]
    for wanted in (_BELOW, _ABOVE, _UNKNOWN, _BESIDE):
        for meaning, mark in meanings:
            if meaning == wanted:
                return meaning, mark
    return "", ""


def _says_nothing(flag: str) -> bool:
    word = known_word(flag)
    return word is not None and word.kind == "blank"


def _one_meaning(word: str) -> tuple[str, str]:
    if _MARK.fullmatch(word):
        return (_BELOW if word[0] == "<" else _ABOVE), word
    known = known_word(word)
    kind = None if known is None else known.kind
    laboratory = word_list("cell_words")["flags"].get(word)
    if kind == "not_detected" or laboratory == "not_detected":
        return _BELOW, "ND"
    if kind == "over_range":
        return _ABOVE, ">"
    if kind == "blank":
        return "", ""
    if laboratory is not None or re.fullmatch(r"\*{1,3}", word):
        return _BESIDE, word
    return _UNKNOWN, word


class _Build:
    """The texts of the cells while flags and limits are brought in."""

    def __init__(
        self, values: CodedCells, limits: CodedCells | None, limit_unit: str | None
    ) -> None:
        self.texts, codes = values
        self.value_codes, self.codes = codes, codes.copy()
        self.chunks, self.size = [self.texts.cast(pa.string())], len(self.texts)
        trimmed = pc.utf8_trim_whitespace(self.texts)
        words = np.asarray(pc.invert(pc.match_substring_regex(trimmed, r"\d")), dtype=bool)
        kinds = np.full(len(self.texts), "", dtype=object)
        for place in np.flatnonzero(words).tolist():
            text = plain(trimmed[place].as_py() or "")
            word = known_word(text)
            kinds[place] = "other" if word is None else word.kind
        self.blank: _Mask = np.asarray(kinds == "blank")
        self.is_not_detected: _Mask = np.asarray(kinds == "not_detected")
        self.is_word: _Mask = words
        self.limits = limits
        if limits is not None:
            self._read_limits(limits, limit_unit)

    def _read_limits(self, limits: CodedCells, unit: str | None) -> None:
        """Write each distinct limit as a cell that was not detected says it."""
        texts = [plain(text or "").lstrip("<= ") for text in limits[0].to_pylist()]
        stated = [bool(text) and not _says_nothing(text) for text in texts]
        behind = f" {unit}" if unit else ""
        self.below_limit = pa.array([f"<{text}{behind}" for text in texts], pa.string())
        self.has_limit: _Mask = np.array(stated, dtype=bool)

    def rows_with(self, mask: _Mask) -> npt.NDArray[np.int64]:
        """Return the rows whose text has a property."""
        return np.flatnonzero(mask[self.value_codes]) if mask.any() else np.zeros(0, np.int64)

    def put_limits(self, rows: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
        """Write the limit into rows that have one; return the others."""
        if self.limits is None or not len(rows):
            return rows
        codes = self.limits[1][rows]
        here = self.has_limit[codes]
        self._put(rows[here], self.below_limit, codes[here])
        return rows[~here]

    def put_below(self, rows: npt.NDArray[np.int64], mark: str) -> None:
        """Write what was not detected: below its limit, else below its own number."""
        if mark == "ND":
            rows = self.put_limits(rows)
        else:  # the number beside the mark is the limit, if there is one
            empty = self.is_word[self.value_codes[rows]]
            rows = np.r_[rows[~empty], self.put_limits(rows[empty])]
        self._write(rows, "<" if mark == "ND" else mark)

    def put_flagged(self, rows: npt.NDArray[np.int64], meaning: str, mark: str) -> None:
        """Write a mark before, or a flag behind, each number."""
        codes, first = np.unique(self.value_codes[rows], return_inverse=True)
        texts = self.texts.take(pa.array(codes))
        trimmed = pc.utf8_trim_whitespace(texts)
        if meaning == _ABOVE:
            marked = pc.binary_join_element_wise(mark, pc.utf8_ltrim(trimmed, "<>=~ "), "")
            bare = pa.array(self.blank[codes])
            marked = pc.if_else(bare, "OVER" if mark[0] == ">" else "", marked)
        else:
            marked = pc.binary_join_element_wise(trimmed, mark, " ")
            marked = pc.if_else(pa.array(self.is_word[codes]), texts, marked)
        self._put(rows, marked, first)

    def _write(self, rows: npt.NDArray[np.int64], mark: str) -> None:
        """Write a mark before each number; a zero or a word beside it is no limit."""
        if not len(rows):
            return
        codes, first = np.unique(self.value_codes[rows], return_inverse=True)
        texts = pc.utf8_trim_whitespace(self.texts.take(pa.array(codes)))
        marked = pc.binary_join_element_wise(mark, pc.utf8_ltrim(texts, "<>=~ "), "")
        zero = pc.match_substring_regex(texts, r"^[<=\s]*0*[.,]?0*$")
        no_limit = pc.or_(pa.array(self.is_word[codes]), zero)
        self._put(rows, pc.if_else(no_limit, "ND", marked), first)

    def _put(
        self, rows: npt.NDArray[np.int64], texts: pa.Array, codes: npt.NDArray[np.integer]
    ) -> None:
        self.codes[rows] = codes + self.size
        self.chunks.append(texts.cast(pa.string()))
        self.size += len(texts)

    def finished(self) -> CodedCells:
        """Return all texts, and which of them each row has."""
        if len(self.chunks) == 1:
            return self.texts, self.codes
        return pa.concat_arrays(self.chunks), self.codes
