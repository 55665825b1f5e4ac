"""The group of commands, and how a run ends.

A command's file is imported when the command is asked for. Those files in turn import
the library inside the command, so that ``--help`` costs little more than starting Python.
"""

import importlib
import sys
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any, NoReturn

import click

from chemcheck._version import __version__
from chemcheck.cli import messages
from chemcheck.cli.memory import collect_seldom, prefer_small_pages

# Command: the module that holds it, and the line the group's help says of it.
COMMANDS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "check": ("chemcheck.cli.check", "Judge every sample of files against sourced limits."),
        "water": ("chemcheck.cli.water", "Judge fill water, and reckon its blend."),
        "forecast": (
            "chemcheck.cli.forecast",
            "Say when each unit's coolant reaches which bound.",
        ),
        "interval": (
            "chemcheck.cli.interval",
            "Find each group's change interval, by risk and by cost.",
        ),
        "blend": ("chemcheck.cli.blend", "Find the cheapest mixture of waters that will do."),
        "refill": ("chemcheck.cli.refill", "Reckon litres to drain, of concentrate and water."),
        "rinse": ("chemcheck.cli.rinse", "Reckon rinses, and prove them by what was measured."),
        "dose": ("chemcheck.cli.dose", "Reckon additive that passes no component's bound."),
        "margins": ("chemcheck.cli.margins", "Reckon margins to freezing, boiling, at the pump."),
        "limits": ("chemcheck.cli.limits", "Show the limit sets and their sources; check a file."),
        "analytes": ("chemcheck.cli.analytes", "Show what can be read: names, units, titles."),
        "schema": ("chemcheck.cli.schema", "Show what the JSON documents hold."),
        "template": ("chemcheck.cli.template", "Write an empty form to fill in, as CSV."),
    }
)

EPILOG = """
Results are read as intervals: '<0.5' is 0 to 0.5, and a strip pad reaches half way to its
neighbours. What an interval leaves open is called undecided.

\b
Exit status:
  0  done
  1  done, but a row, a cell, a column or the dates were set aside
  2  wrong usage, or nothing could be read
  3  asked for with --fail-on, and found
"""


class CommandGroup(click.Group):
    """A group whose commands are imported on demand, and that shows no traceback."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of the commands in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the command of this name."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(COMMANDS[cmd_name][0])
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands without importing any."""
        if COMMANDS:
            with formatter.section("Commands"):
                formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; a closed pipe is told apart from what click makes of it."""
        try:
            return super().invoke(ctx)
        except BrokenPipeError as error:
            raise messages.PipeClosedError from error

    def main(  # type: ignore[override]  # click's overloads only differ in standalone_mode
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        **extra: Any,
    ) -> NoReturn:
        """Run a command and leave with its status; every error becomes one line."""
        prefer_small_pages()
        collect_seldom()
        messages.prepare_streams()
        extra.pop("standalone_mode", None)
        try:
            status = super().main(args, prog_name or "chemcheck", standalone_mode=False, **extra)
            messages.flush_streams()
        except BaseException as error:
            status = messages.status_of(error)
        sys.exit(status)


@click.group(
    cls=CommandGroup,
    epilog=EPILOG,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 90},
)
@click.version_option(__version__, "-V", "--version", message="%(prog)s %(version)s")
def main() -> int:
    """Say whether fill water and engine coolant are fit, against sourced limits.

    Every value and verdict comes with its source. Limits are starting points: the
    maker's service information and local codes always come first.
    """
    return messages.DONE
