"""What goes to standard error, and the status a run ends with."""

import os
import sys
import traceback
from collections.abc import Iterable
from io import TextIOWrapper

import click

from chemcheck.errors import ChemcheckError, IntakeError

DONE, SET_ASIDE, NOTHING, FOUND, INTERRUPTED = 0, 1, 2, 3, 130

# Set to anything to see where a fault of the program happened.
TRACEBACK = "CHEMCHECK_TRACEBACK"

EXAMPLES = 3


def prepare_streams() -> None:
    """Let standard output and error carry any text, whatever the locale says.

    Raises nothing: what still cannot be written is written as an escape.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            wished = os.environ.get("PYTHONIOENCODING", "").partition(":")[0]
            stream.reconfigure(encoding=wished or "utf-8", errors="backslashreplace")


def flush_streams() -> None:
    """Write out what is still held back, so that a closed pipe is noticed here."""
    sys.stdout.flush()
    sys.stderr.flush()


def say(line: str) -> None:
    """Write one line to standard error."""
    click.echo(line, err=True)


def status_of(error: BaseException) -> int:
    """Say an error in one line, if it needs one, and return the status it ends with.

    Parameters
    ----------
    error : BaseException
        What ended the run.
    """
    if isinstance(error, SystemExit):
        return error.code if isinstance(error.code, int) else NOTHING
    if isinstance(error, click.exceptions.Exit):
        return error.exit_code
    if isinstance(error, BrokenPipeError):
        return _pipe_closed()
    if isinstance(error, (KeyboardInterrupt, click.Abort)):
        say("stopped")
        return INTERRUPTED
    for line in _lines(error):
        say(line)
    if os.environ.get(TRACEBACK):
        say("".join(traceback.format_exception(error)))
    return NOTHING


def _pipe_closed() -> int:
    """Keep Python from complaining at exit that nobody reads its output."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)
    return DONE


def _lines(error: BaseException) -> Iterable[str]:
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        yield error.format_message()
    elif isinstance(error, click.UsageError):
        if error.ctx is not None:
            yield f"{error.ctx.get_usage()}  ({error.ctx.command_path} -h tells more)"
        yield f"error: {error.format_message()}"
    elif isinstance(error, click.ClickException):
        yield f"error: {error.format_message()}"
    elif isinstance(error, IntakeError):
        yield from (f"error: {problem}" for problem in error.problems[:EXAMPLES])
        if len(error.problems) > EXAMPLES:
            yield f"error: and {len(error.problems) - EXAMPLES} more"
    elif isinstance(error, ChemcheckError):
        yield f"error: {error}"
    elif isinstance(error, OSError) and error.strerror:
        where = f"{error.filename}: " if error.filename else ""
        yield f"error: {where}{error.strerror}"
    elif isinstance(error, MemoryError):
        yield "error: not enough memory for this input"
    else:
        said = " ".join(f"{type(error).__name__}: {error}".split())
        yield (
            f"error: a fault of the program, not of your input: {said[:300]} "
            f"(set {TRACEBACK}=1 to see where)"
        )
