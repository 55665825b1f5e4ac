"""Output that appears whole or not at all, and never over what is not ours."""

import json
import os
import shutil
import sys
import tempfile
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from chemcheck.errors import OutputError

# A folder that holds one of these files, written by chemcheck, may be written again.
SUMMARY = "summary.json"
MARKS = (SUMMARY, "forecast.json", "interval.json")
# What a folder within it may hold; one with anything else is not put away.
OUR_FORMS = (".html", ".svg", ".png")


@contextmanager
def whole_file(target: str | Path) -> Iterator[BinaryIO]:
    """Write one file that appears under its name only when it is complete.

    Parameters
    ----------
    target : str or Path
        The file; ``-`` is standard output.

    Yields
    ------
    binary file
        Open for writing.

    Raises
    ------
    OutputError
        If the file cannot be written.
    """
    if str(target) == "-":
        yield sys.stdout.buffer
        return
    path = Path(target)
    if path.is_dir():
        msg = f"{path}: is a folder, expected a file to write"
        raise OutputError(msg)
    with _said(path):
        descriptor, part = tempfile.mkstemp(
            dir=path.parent, prefix=f".{path.name}.", suffix=".part"
        )
        try:
            with os.fdopen(descriptor, "wb") as file:
                yield file
            os.chmod(part, 0o666 & ~_umask())
            os.replace(part, path)
        except BaseException:
            Path(part).unlink(missing_ok=True)
            raise


@contextmanager
def whole_folder(target: str | Path, inputs: Collection[str] = ()) -> Iterator[Path]:
    """Write a folder of files that appear only when all of them are complete.

    Parameters
    ----------
    target : str or Path
        The folder. It is made if absent. Where it exists, files of the same names are
        replaced only if an earlier run wrote them, and other files are left alone.
    inputs : collection of str
        Files that were read; they are never replaced.

    Yields
    ------
    Path
        A folder beside or in the target to write into.

    Raises
    ------
    OutputError
        If a file of the same name is there that is not ours, or nothing can be written.
    """
    path = Path(target)
    if path.exists() and not path.is_dir():
        msg = f"{path}: is a file, expected a folder to write into"
        raise OutputError(msg)
    with _said(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        beside = path if path.exists() else path.parent
        part = Path(tempfile.mkdtemp(dir=beside, prefix=f".{path.name}.", suffix=".part"))
        try:
            yield part
            _move(part, path, inputs)
        finally:
            shutil.rmtree(part, ignore_errors=True)


def _move(part: Path, path: Path, inputs: Collection[str]) -> None:
    """Bring finished files to their place."""
    if not path.exists():
        os.chmod(part, 0o777 & ~_umask())
        os.replace(part, path)
        return
    names = [entry.name for entry in part.iterdir()]
    ours = _is_ours(path)
    for name in names:
        there = path / name
        if there.exists() and (not ours or _is_input(there, inputs)):
            reason = "it was read" if _is_input(there, inputs) else "chemcheck did not write it"
            msg = f"{there}: is not replaced, because {reason}; name another folder"
            raise OutputError(msg)
        if there.is_dir():
            _refuse_strangers(there)
    # What marks the folder comes last: it says that the folder is complete.
    for name in sorted(names, key=lambda each: each in MARKS):
        if (part / name).is_dir() and (path / name).exists():
            # A folder cannot be put over another: ours goes away with the part.
            os.replace(path / name, part / f"{name}.old")
        os.replace(part / name, path / name)


def _refuse_strangers(folder: Path) -> None:
    """Refuse to put away a folder that holds what no run writes there."""
    for entry in folder.iterdir():
        if entry.is_dir() or entry.suffix not in OUR_FORMS:
            msg = f"{entry}: is not replaced, because chemcheck did not write it; move it away"
            raise OutputError(msg)


def _is_ours(folder: Path) -> bool:
    """Return whether an earlier run wrote into a folder."""
    return any(_is_our_document(folder / mark) for mark in MARKS)


def _is_our_document(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            document = json.load(file)
    except (OSError, ValueError):
        return False
    schema = document.get("schema") if isinstance(document, dict) else None
    return isinstance(schema, str) and schema.startswith("chemcheck/")


def _is_input(path: Path, inputs: Collection[str]) -> bool:
    return any(name != "-" and Path(name).exists() and path.samefile(name) for name in inputs)


@contextmanager
def _said(path: Path) -> Iterator[None]:
    """Turn what the operating system says into one clear line."""
    try:
        yield
    except OSError as error:
        msg = f"{path}: cannot be written: {error.strerror or error}"
        raise OutputError(msg) from error


def _umask() -> int:
    """Return the process's mask for new files; it can only be read by setting it."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
