"""YAML whose every value knows its file, line and key, so that every error can say them.

Nothing is guessed as YAML readers are used to: a value is text until its reader asks for a
number, so that no country code turns into a truth value and no ratio into a time.
"""

import math
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

import yaml

from chemcheck.errors import LimitFileError, not_one_of, shorten

MAX_BYTES = 1_000_000
MAX_DEPTH = 20

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_NUMBER = re.compile(r"[-+]?(\d+(\.\d*)?|\.\d+)([eE][-+]?\d+)?")
_NOT_FINITE = re.compile(r"[-+]?\.?(nan|inf|infinity)", re.IGNORECASE)
_EMPTY = ("", "~", "null")


@dataclass(frozen=True, slots=True)
class Located:
    """A value of a YAML file, and where it stands.

    Parameters
    ----------
    file : str
        The file as the user named it.
    line : int
        Its line, or that of its key, counted from 1.
    key : str
        Its dotted path; empty for the whole file.
    content : str, tuple of Located, or mapping of str to Located
        A scalar's text, the entries of a list, or the values of a mapping by their key.
    quoted : bool
        Whether a scalar stands in quotes, so that it is text whatever it looks like.
    """

    file: str
    line: int
    key: str
    content: "str | tuple[Located, ...] | Mapping[str, Located]"
    quoted: bool = False

    def error(self, problem: str) -> LimitFileError:
        """Return an error that says where this value stands."""
        return LimitFileError(self.file, self.line, shorten(self.key, 120) or None, problem)

    def refuse(self, problem: str) -> NoReturn:
        """Raise an error that says where this value stands."""
        raise self.error(problem)

    def mapping(self) -> "Mapping[str, Located]":
        """Return the values by their key."""
        if not isinstance(self.content, Mapping):
            self.refuse(f"expected keys with values below it, found {self._found()}")
        return self.content

    def fields(
        self, allowed: Collection[str], required: Collection[str] = ()
    ) -> "Mapping[str, Located]":
        """Return the values by their key, once no key is unknown and none is missing."""
        content = self.mapping()
        for key, value in content.items():
            if key not in allowed:
                value.refuse(not_one_of(key, allowed, "key"))
        for key in required:
            if key not in content:
                self.refuse(f"the key {key!r} is missing")
        return content

    def entries(self) -> "tuple[Located, ...]":
        """Return the entries of a list."""
        if not isinstance(self.content, tuple):
            self.refuse(f"expected a list, found {self._found()}")
        return self.content

    def one_or_more(self) -> "tuple[Located, ...]":
        """Return the entries of a list, or the value itself where it is no list."""
        return self.content if isinstance(self.content, tuple) else (self,)

    def is_text(self, *options: str) -> bool:
        """Return whether this is a scalar with one of these texts."""
        return isinstance(self.content, str) and self.content in options

    def text(self) -> str:
        """Return the text of a scalar on one line."""
        if not isinstance(self.content, str) or (not self.quoted and self.content in _EMPTY):
            self.refuse(f"expected text, found {self._found()}")
        flat = " ".join(self.content.split())
        if not flat:
            self.refuse("expected text, found nothing")
        return flat

    def one_of(self, options: Collection[str], name: str) -> str:
        """Return the text of a scalar that is among the options."""
        text = self.text()
        if text not in options:
            self.refuse(not_one_of(text, options, name))
        return text

    def number(self) -> float:
        """Return a finite number."""
        if not isinstance(self.content, str) or (not self.quoted and self.content in _EMPTY):
            self.refuse(f"expected a number, found {self._found()}")
        text = self.content.strip()
        value = float(text) if _NUMBER.fullmatch(text) else math.nan
        if self.quoted and not math.isnan(value):
            self.refuse(f"expected a number, found the text {text!r}: take off the quotes")
        if not math.isfinite(value):
            finite = "finite " if _NOT_FINITE.fullmatch(text) or math.isinf(value) else ""
            self.refuse(f"expected a {finite}number, found {shorten(text)!r}")
        return value

    def _found(self) -> str:
        if isinstance(self.content, Mapping):
            return "keys"
        if isinstance(self.content, tuple):
            return "a list"
        return "nothing" if self.content in _EMPTY else f"the text {shorten(self.content)!r}"


@dataclass(slots=True)
class _Open:
    """A list or mapping whose end was not read yet."""

    line: int
    key: str
    values: "list[Located] | dict[str, Located]"
    name: str | None = None
    name_line: int = 0


def read_yaml(path: Path, name: str | None = None) -> tuple[Located, bytes]:
    """Read a YAML file into located values.

    Parameters
    ----------
    path : Path
        The file.
    name : str or None
        The file as the user named it; the path itself if None.

    Returns
    -------
    tuple of Located and bytes
        The whole file's value, and its bytes.

    Raises
    ------
    LimitFileError
        If the file cannot be read, is larger than a megabyte, is no UTF-8 text or no YAML
        of one document, repeats a key, or uses anchors, aliases or tags.
    """
    shown = str(path) if name is None else name
    data = read_bytes(path, shown)
    return parse_yaml(data, shown), data


def read_bytes(path: Path, name: str) -> bytes:
    """Return the bytes of a file of at most a megabyte."""
    try:
        with path.open("rb") as stream:
            data = stream.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise LimitFileError(name, None, None, "there is no such file") from None
    except IsADirectoryError:
        raise LimitFileError(name, None, None, "is a folder; expected a YAML file") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise LimitFileError(name, None, None, f"cannot be read: {reason}") from None
    if len(data) > MAX_BYTES:
        problem = f"is larger than {MAX_BYTES:,} bytes; a limit file has a few thousand"
        raise LimitFileError(name, None, None, problem)
    return data


def parse_yaml(data: bytes, name: str) -> Located:
    """Turn the bytes of a YAML file into located values; see `read_yaml`.

    Examples
    --------
    >>> whole = parse_yaml(b"chloride: {upper: 40}", "mine.yaml")
    >>> upper = whole.mapping()["chloride"].mapping()["upper"]
    >>> upper.number(), upper.line, upper.key
    (40.0, 1, 'chloride.upper')
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise LimitFileError(name, line, None, "is not UTF-8 text") from None
    try:
        return _Builder(name).build(yaml.parse(text, Loader=_LOADER))
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        problem = getattr(error, "problem", None) or getattr(error, "reason", None) or "unreadable"
        at = None if mark is None else mark.line + 1
        raise LimitFileError(name, at, None, f"is no YAML: {problem}") from None


class _Builder:
    """Builds the tree of values from the events of the YAML reader, without recursion."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.open: list[_Open] = []
        self.root: Located | None = None

    def build(self, events: Iterator[yaml.Event]) -> Located:
        for event in events:
            line = 1 if event.start_mark is None else event.start_mark.line + 1
            if isinstance(event, yaml.NodeEvent):
                self._refuse_cleverness(event, line)
            if isinstance(event, yaml.ScalarEvent):
                self._scalar(event, line)
            elif isinstance(event, yaml.CollectionStartEvent):
                self._start(event, line)
            elif isinstance(event, yaml.CollectionEndEvent):
                done = self.open.pop()
                values = tuple(done.values) if isinstance(done.values, list) else done.values
                self._place(Located(self.name, done.line, done.key, values))
            elif isinstance(event, yaml.DocumentStartEvent) and self.root is not None:
                self._refuse(line, "holds more than one YAML document")
        if self.root is None:
            raise LimitFileError(self.name, None, None, "is empty")
        return self.root

    def _refuse(self, line: int, problem: str) -> NoReturn:
        raise LimitFileError(self.name, line, self._next_key() or None, problem)

    def _refuse_cleverness(self, event: yaml.NodeEvent, line: int) -> None:
        if event.anchor is not None:
            self._refuse(line, "anchors (&) and aliases (*) are not allowed here")
        tag = getattr(event, "tag", None)
        if tag is not None and tag != "!":
            self._refuse(line, f"the tag {shorten(tag)!r} is not allowed here")

    def _next_key(self) -> str:
        """Return the dotted path of the value that comes next."""
        if not self.open:
            return ""
        top = self.open[-1]
        if isinstance(top.values, list):
            return f"{top.key}[{len(top.values)}]"
        return top.key if top.name is None else f"{top.key}.{top.name}".lstrip(".")

    def _next_line(self, line: int) -> int:
        """Return the line of the key that a value belongs to, else its own."""
        top = self.open[-1] if self.open else None
        return line if top is None or top.name is None else top.name_line

    def _scalar(self, event: yaml.ScalarEvent, line: int) -> None:
        top = self.open[-1] if self.open else None
        if top is None or isinstance(top.values, list) or top.name is not None:
            quoted = event.style not in (None, "")
            place = self._next_line(line)
            self._place(Located(self.name, place, self._next_key(), event.value, quoted))
            return
        if event.value in top.values:
            first = top.values[event.value].line
            problem = f"the key {shorten(event.value)!r} stands twice, first in line {first}"
            self._refuse(line, problem)
        top.name, top.name_line = event.value, line

    def _start(self, event: yaml.CollectionStartEvent, line: int) -> None:
        top = self.open[-1] if self.open else None
        if top is not None and isinstance(top.values, dict) and top.name is None:
            self._refuse(line, "a key must be plain text")
        if len(self.open) >= MAX_DEPTH:
            self._refuse(line, f"is nested deeper than {MAX_DEPTH} levels")
        empty: list[Located] | dict[str, Located]
        empty = [] if isinstance(event, yaml.SequenceStartEvent) else {}
        self.open.append(_Open(self._next_line(line), self._next_key(), empty))

    def _place(self, value: Located) -> None:
        if not self.open:
            self.root = value
            return
        top = self.open[-1]
        if isinstance(top.values, list):
            top.values.append(value)
        elif top.name is not None:
            top.values[top.name] = value
            top.name = None
