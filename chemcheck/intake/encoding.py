"""The bytes of a file as UTF-8 text, whatever it was written in."""

import codecs
import re
import sys
from dataclasses import dataclass, replace
from pathlib import Path

from chemcheck.errors import IntakeError, Problem
from chemcheck.intake import compressed

STANDARD_INPUT = "-"
_BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8", "UTF-8 with byte order mark"),
    (codecs.BOM_UTF32_LE, "utf-32-le", "UTF-32"),  # before UTF-16: its mark begins alike
    (codecs.BOM_UTF32_BE, "utf-32-be", "UTF-32"),
    (codecs.BOM_UTF16_LE, "utf-16-le", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16-be", "UTF-16"),
)
# First bytes of files that people hand over instead of CSV.
_OTHER_KINDS = (
    (b"PK\x03\x04", "a spreadsheet workbook or zip archive; save the sheet as CSV"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet workbook; save the sheet as CSV"),
    (b"%PDF", "a PDF; expected CSV"),
)
_TWO_BYTES_OR_MORE = re.compile(
    rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}|[\xf0-\xf4][\x80-\xbf]{3}"
)
# Tab, line feed, form feed and such, carriage return, and the end mark of old systems are text.
_CONTROLS = bytes(code for code in range(32) if code not in b"\t\n\v\f\r\x1a")
_SPACE = b" \t\r\n\x1a"
_END = b"\x1a"
_SNIFFED = 1 << 16
_CHUNK = 1 << 22


@dataclass(frozen=True, slots=True)
class TextFile:
    """A whole file as UTF-8.

    Parameters
    ----------
    name : str
        The file as the user named it; ``-`` is standard input.
    data : bytes
        Its text as UTF-8, without byte order mark.
    encoding : str
        What it was written in, in words.
    mixed : bool
        Whether some bytes were not of that encoding; they read as U+FFFD.
    """

    name: str
    data: bytes
    encoding: str
    mixed: bool = False


def read_text(path: str | Path) -> TextFile:
    """Read a file, unpack it if need be, and recognise its encoding from all of its bytes.

    UTF-8, UTF-16 and UTF-32 are told apart by their byte order mark, UTF-16 without one
    by its zero bytes; bytes that are not UTF-8 anywhere are read as Windows-1252.

    Parameters
    ----------
    path : str or Path
        The file; ``-`` is standard input.

    Raises
    ------
    IntakeError
        Where there is no such file, or no text in it.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder, "a.csv")
    ...     _ = file.write_bytes("Größe;pH".encode("cp1252"))
    ...     text = read_text(file)
    >>> text.encoding, text.data.decode()
    ('Windows-1252', 'Größe;pH')
    """
    name = str(path)
    data = _read_bytes(name)
    if not data.startswith(compressed.MARK):
        return decode(name, data)
    file = decode(name, compressed.unpack(name, data))
    return replace(file, encoding=f"gzipped {file.encoding}")


def decode(name: str, data: bytes) -> TextFile:
    """Recognise the encoding of bytes already read; see `read_text`."""
    if not data[:_SNIFFED].strip(_SPACE) and not data.strip(_SPACE):
        raise _no_text(name, None, "the file is empty; expected a header and rows")
    for first, kind in _OTHER_KINDS:
        if data.startswith(first):
            raise _no_text(name, None, f"this is {kind}")
    for mark, codec, title in _BYTE_ORDER_MARKS:
        if data.startswith(mark):
            return _decoded(name, data[len(mark) :], codec, title)
    unmarked = _wide_characters(data)
    if unmarked is not None:
        return _decoded(name, data, unmarked, "UTF-16")
    return _decoded(name, data, "utf-8", "UTF-8")


def _read_bytes(name: str) -> bytes:
    if name == STANDARD_INPUT:
        return sys.stdin.buffer.read()
    path = Path(name)
    try:
        return path.read_bytes()
    except FileNotFoundError:
        problem = "there is no such file"
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        is_folder = isinstance(error, OSError) and path.is_dir()
        problem = f"the file cannot be read: {reason}"
        if is_folder:
            problem = "this is a folder; expected a CSV file"
    raise _no_text(name, None, problem)


def _decoded(name: str, data: bytes, codec: str, title: str) -> TextFile:
    if codec != "utf-8":
        data = data[: len(data) - len(data) % 2]  # a file cut short may end in half a character
        try:
            data = _to_utf8(data, codec)
        except UnicodeDecodeError as error:
            row = data[: error.start].decode(codec, "ignore").count("\n") + 1
            raise _no_text(name, row, f"this is not {title} as the file began") from None
    _refuse_binary(name, data)
    if data.endswith(_END):
        data = data.rstrip(_END)
    if data.isascii() or _is_utf8(data):
        return TextFile(name, data, title)
    if _TWO_BYTES_OR_MORE.search(data) or title != "UTF-8":
        return TextFile(name, data.decode("utf-8", "replace").encode(), title, mixed=True)
    try:
        return TextFile(name, _to_utf8(data, "cp1252"), "Windows-1252")
    except UnicodeDecodeError as error:
        row = data.count(b"\n", 0, error.start) + 1
        expected = "the encoding is not known; expected UTF-8, UTF-16 or Windows-1252"
        raise _no_text(name, row, f"{expected} (byte {error.object[error.start]:#x})") from None


def _refuse_binary(name: str, data: bytes) -> None:
    place = data.find(b"\0")
    if place >= 0:
        row = data.count(b"\n", 0, place) + 1
        raise _no_text(name, row, "zero bytes: this is no text, or a damaged file; expected CSV")
    begin = data[:_SNIFFED]
    controls = len(begin) - len(begin.translate(None, _CONTROLS))
    if controls > len(begin) / 100:
        raise _no_text(name, None, "this is no text but binary data; expected CSV")


def _wide_characters(data: bytes) -> str | None:
    """Tell UTF-16 without a mark: nearly every other byte of western text is zero."""
    begin = data[:_SNIFFED]
    half = len(begin) // 2
    if begin[1::2].count(0) > 0.7 * half and begin[::2].count(0) < 0.1 * half:
        return "utf-16-le"
    if begin[::2].count(0) > 0.7 * half and begin[1::2].count(0) < 0.1 * half:
        return "utf-16-be"
    return None


def _to_utf8(data: bytes, codec: str) -> bytes:
    """Rewrite piece by piece, so that the whole text never stands in memory twice."""
    decoder = codecs.getincrementaldecoder(codec)()
    pieces = []
    for start in range(0, len(data), _CHUNK):
        end = start + _CHUNK
        try:
            pieces.append(decoder.decode(data[start:end], final=end >= len(data)).encode())
        except UnicodeDecodeError as error:
            kept = len(error.object) - len(data[start:end])  # bytes held over from before
            place = start - kept + error.start
            raise UnicodeDecodeError(codec, data, place, place + 1, error.reason) from None
        except UnicodeEncodeError:  # half a surrogate pair
            raise UnicodeDecodeError(codec, data, start, start + 1, "half a character") from None
    return b"".join(pieces)


def _is_utf8(data: bytes) -> bool:
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        for start in range(0, len(data), _CHUNK):
            decoder.decode(data[start : start + _CHUNK], final=start + _CHUNK >= len(data))
    except UnicodeDecodeError:
        return False
    return True


def _no_text(name: str, row: int | None, problem: str) -> IntakeError:
    return IntakeError([Problem(name, row, None, "", problem)])
