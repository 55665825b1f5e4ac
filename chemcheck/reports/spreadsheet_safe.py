"""Text in a CSV file: quoted where it must be, and never a formula in a spreadsheet."""

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.reports.text_pieces import concatenated

# A spreadsheet takes a cell that begins so for a formula, also in full-width form; what is
# nothing but a number with its sign is harmless and stays a number.
FORMULA = r"^[\s\x00\p{Z}]*[=+\-@＝＋－＠]|^[\t\r\n]"
NUMBER = r"^[+\-]?[0-9]+([.,][0-9]+)?$"
GUARD = "'"

_MUST_QUOTE = '[",\r\n]'
# Bytes with which a text that matches FORMULA can begin; 0xEF begins the full-width signs,
# 0xC2, 0xE1, 0xE2 and 0xE3 begin spaces.
_SUSPECT_FIRST = np.isin(np.arange(256), [*b"=+-@ \t\r\n\v\f\0", 0xC2, 0xE1, 0xE2, 0xE3, 0xEF])
_SPECIAL = np.isin(np.arange(256), [*b'",\r\n'])


def csv_fields(texts: pa.Array) -> pa.LargeStringArray:
    """Write free texts as fields of a CSV file.

    Parameters
    ----------
    texts : pyarrow string array
        Untrusted; null is written as an empty field.

    Returns
    -------
    pyarrow large_string array
        What a spreadsheet would take for a formula begins with an apostrophe, so that it is
        shown as text; what holds a comma, a quote or a line end is quoted (RFC 4180).

    Examples
    --------
    >>> csv_fields(pa.array(["A-7", "=1+1", "-34", 'a "b", c', None])).to_pylist()
    ['A-7', "'=1+1", '-34', '"a ""b"", c"', '']
    """
    safe = without_formulas(texts)
    _, content = _buffers(safe)
    if not _SPECIAL[content].any():
        return safe
    special = pc.match_substring_regex(safe, _MUST_QUOTE)
    quoted = concatenated('"', pc.replace_substring(safe, '"', '""'), '"')
    return pc.if_else(special, quoted, safe)


def without_formulas(texts: pa.Array) -> pa.LargeStringArray:
    """Put an apostrophe before what a spreadsheet would take for a formula.

    Examples
    --------
    >>> without_formulas(pa.array(["@cmd", "ok", " =2", "+49", "+49 89"])).to_pylist()
    ["'@cmd", 'ok', "' =2", '+49', "'+49 89"]
    """
    filled = pc.fill_null(pc.cast(texts, pa.large_string()), "")
    starts, content = _buffers(filled)
    begun = starts[:-1][starts[:-1] < starts[1:]]
    if not _SUSPECT_FIRST[content[begun]].any():
        return filled
    suspect = pc.match_substring_regex(filled, FORMULA)
    harmless = pc.match_substring_regex(filled, NUMBER)
    return pc.if_else(pc.and_not(suspect, harmless), concatenated(GUARD, filled), filled)


def _buffers(
    texts: pa.LargeStringArray,
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.uint8]]:
    """Return where each text starts and ends in the bytes of all, and those bytes."""
    _, offsets, content = texts.buffers()
    starts = np.frombuffer(offsets, dtype=np.int64)[texts.offset : texts.offset + len(texts) + 1]
    if content is None or not len(texts):
        return np.zeros(len(texts) + 1, dtype=np.int64), np.zeros(0, dtype=np.uint8)
    whole = np.frombuffer(content, dtype=np.uint8)
    return starts - starts[0], whole[starts[0] : starts[-1]]
