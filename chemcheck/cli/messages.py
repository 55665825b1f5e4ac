"""What goes to standard error, and the status a run ends with."""

import os
import sys
import traceback
from collections.abc import Hashable, Iterable, Mapping
from contextlib import suppress
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chemcheck.errors import ChemcheckError, IntakeError, Problem
from chemcheck.reports.text_layout import visible

if TYPE_CHECKING:
    import pandas as pd

    from chemcheck.assessment.record import Assessment
    from chemcheck.history.record import Events
    from chemcheck.readings.record import Readings

DONE, SET_ASIDE, NOTHING, FOUND, INTERRUPTED = 0, 1, 2, 3, 130

# Set to anything to see where a fault of the program happened.
TRACEBACK = "CHEMCHECK_TRACEBACK"

# Where a command's context keeps whether the user wants few words.
QUIET = "chemcheck.quiet"

# Of each kind of problem so many are shown, and so many kinds.
EXAMPLES, KINDS = 3, 12


class PipeClosedError(Exception):
    """Nobody reads the output any more, as after ``| head``."""


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
    """Write to standard error; what could steer a terminal is written as an escape."""
    click.echo(visible(line), err=True)


def say_set_aside(rejected: "pd.DataFrame", written_to: str | None) -> None:
    """Say what was set aside: a few examples of each kind, and how many there are.

    Parameters
    ----------
    rejected : DataFrame
        ``readings.record.PROBLEM_COLUMNS``.
    written_to : str or None
        The file that lists all of it, None where there is none.
    """
    place = f"all in {written_to}" if written_to else "--out DIR lists all"
    if len(rejected) and _is_quiet():
        say(f"set aside: {len(rejected):,} of cells, rows, columns and files; {place}")
        return
    counts = rejected["problem"].value_counts(sort=False)
    for kind in counts.index[:KINDS]:
        of_kind = rejected[rejected["problem"] == kind]
        for row in of_kind.head(EXAMPLES).to_dict("records"):
            say(f"set aside: {_problem(row)}")
        if len(of_kind) > EXAMPLES:
            say(f"set aside: and {len(of_kind) - EXAMPLES:,} more like these; {place}")
    if len(counts) > KINDS:
        say(f"set aside: and {len(counts) - KINDS:,} more kinds of problem; {place}")


def finished(
    assessment: "Assessment", fail_on: str | None, out: Path | None, events: "Events | None"
) -> int:
    """Say what was set aside, and return the status of a run that gave an answer.

    Parameters
    ----------
    assessment : Assessment
        What was found.
    fail_on : {"unfit", "undecided"} or None
        What the user asked to fail on.
    out : Path or None
        Where the files were written.
    events : Events or None
        The log that was read.
    """
    counts = assessment.counts
    status = lost(assessment.readings, events, out)
    if not counts["samples"]:
        say("error: no sample could be read")
        return NOTHING
    failing = {"unfit": counts["unfit"], "undecided": counts["unfit"] + counts["undecided"]}
    if fail_on is not None and failing[fail_on]:
        return FOUND
    return status


def lost(readings: "Readings", events: "Events | None", out: Path | None) -> int:
    """Say what was set aside of the inputs, and return the status that gives.

    Parameters
    ----------
    readings : Readings
        What was read.
    events : Events or None
        The log that was read.
    out : Path or None
        Where the files were written.
    """
    if out is not None and sys.stderr.isatty() and not _is_quiet():
        say(f"written to {out}: {out / 'report.html'} is the page to look at first")
    say_set_aside(readings.rejected, None if out is None else str(out / "rejected.csv"))
    if events is not None:
        say_set_aside(events.rejected, None)
    anything = len(readings.rejected) or (events is not None and len(events.rejected))
    return SET_ASIDE if anything else DONE


def _is_quiet() -> bool:
    """Return whether the user wants few words."""
    context = click.get_current_context(silent=True)
    return context is not None and bool(context.meta.get(QUIET))


def _problem(row: Mapping[Hashable, Any]) -> Problem:
    """Read a line of a table of problems, in which a row or column may be missing."""
    number, column, text = row["row"], row["column"], row["text"]
    is_number = isinstance(number, (int, float)) and number == number and number > 0
    return Problem(
        file=str(row["file"]),
        row=int(number) if is_number else None,
        column=column if isinstance(column, str) and column else None,
        text=text if isinstance(text, str) else "",
        problem=str(row["problem"]),
    )


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
    if isinstance(error, (BrokenPipeError, PipeClosedError)):
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
    with suppress(OSError):  # a stream that is no file needs no such care
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
