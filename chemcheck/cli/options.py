"""Options that several commands share, each said once."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from chemcheck.cli import messages

Command = TypeVar("Command", bound=Callable[..., Any])

# As the library has them; importing them from there would make every start slow.
RULES = ("overlap", "simple", "guarded")
MATERIALS = ("water", "coolant")
DECIMAL_MARKS = (".", ",")
DATE_ORDERS = ("dmy", "mdy", "ymd")


def _together(*decorators: Callable[[Command], Command]) -> Callable[[Command], Command]:
    def decorate(command: Command) -> Command:
        for decorator in reversed(decorators):
            command = decorator(command)
        return command

    return decorate


def files(required: bool) -> Callable[[Command], Command]:
    """Take the names of the files to read; ``-`` is standard input."""
    shown = "FILE..." if required else "[FILE...]"
    return click.argument(
        "files", nargs=-1, required=required, type=click.Path(allow_dash=True), metavar=shown
    )


def reading() -> Callable[[Command], Command]:
    """Say how files are to be read, where they leave it open."""
    return _together(
        click.option(
            "--columns",
            type=click.Path(),
            metavar="FILE",
            help="What the columns of the files mean, as a YAML file.",
        ),
        click.option(
            "--decimal",
            type=click.Choice(DECIMAL_MARKS),
            help="The decimal mark, where the files leave it open.",
        ),
        click.option(
            "--date-order",
            type=click.Choice(DATE_ORDERS),
            help="The order of day (d), month (m) and year (y), where the files leave it open.",
        ),
        click.option(
            "--quiet",
            is_flag=True,
            expose_value=False,
            callback=_quiet,
            help="No progress, and one line in all for what was set aside.",
        ),
    )


def _quiet(context: click.Context, _: click.Parameter, value: bool) -> None:
    from chemcheck.cli.progress_bar import shown

    context.meta[messages.QUIET] = value
    context.with_resource(shown(value))


def material() -> Callable[[Command], Command]:
    """Say what was sampled, where the files do not."""
    return _together(
        click.option(
            "--material",
            type=click.Choice(MATERIALS),
            help="What was sampled, for rows that do not say.",
        ),
        click.option(
            "--technology",
            metavar="NAME",
            help="The coolant's technology, for rows that do not say (see 'limits list').",
        ),
    )


def limit_sets() -> Callable[[Command], Command]:
    """Choose limit sets."""
    return click.option(
        "--limits",
        "limit_sets",
        multiple=True,
        metavar="ID_OR_FILE",
        help="A limit set, by its id or as a file; repeat for several. The first decides.",
    )


def limits() -> Callable[[Command], Command]:
    """Choose limit sets and the decision rule."""
    return _together(
        limit_sets(),
        click.option(
            "--rule",
            type=click.Choice(RULES),
            default="overlap",
            show_default=True,
            help="How uncertainty counts: decide only where the whole 95 % interval lies on "
            "one side; leave the method's uncertainty out; or keep a guard band.",
        ),
    )


def events() -> Callable[[Command], Command]:
    """Take the log of changes, top-ups and repairs."""
    return click.option(
        "--events",
        type=click.Path(),
        metavar="FILE",
        help="Changes, top-ups, doses and repairs of the units.",
    )


def observations() -> Callable[[Command], Command]:
    """Take findings at the pump and the open cap, from a file of their own."""
    return click.option(
        "--observations",
        type=click.Path(),
        metavar="FILE",
        help="What was seen, smelt or tested (vane pits, blue shaft, gel, ...: yes or no), by "
        "sample, or by unit and date.",
    )


def form() -> Callable[[Command], Command]:
    """Choose the form of the output."""
    return click.option(
        "--format",
        "form",
        type=click.Choice(["text", "json", "csv"]),
        default="text",
        show_default=True,
        help="The form of what is printed.",
    )


def output() -> Callable[[Command], Command]:
    """Choose the form of the output and where it goes."""
    return _together(
        form(),
        click.option(
            "--out",
            type=click.Path(path_type=Path),
            metavar="DIR",
            help="Write files into this folder instead of printing the answer.",
        ),
        click.option(
            "--all-results",
            is_flag=True,
            help="List also the results that are plainly inside.",
        ),
        click.option(
            "--fail-on",
            type=click.Choice(["unfit", "undecided"]),
            help="End with status 3 if a sample is unfit, or not plainly fit.",
        ),
    )


def unit() -> Callable[[Command], Command]:
    """Choose what is told of units."""
    return _together(
        click.option(
            "--unit",
            metavar="ID",
            help="Tell of this unit alone: with --out report.html is its page.",
        ),
        all_pages(),
    )


def all_pages() -> Callable[[Command], Command]:
    """Choose whether every unit gets a page."""
    return click.option(
        "--all-pages",
        is_flag=True,
        help="With --out, write a page for every unit, not only for those with something to do.",
    )


def plots() -> Callable[[Command], Command]:
    """Choose whether charts are drawn into files."""
    return _together(
        click.option(
            "--plots",
            type=click.Path(path_type=Path),
            metavar="DIR",
            help="Draw charts into this folder.",
        ),
        click.option(
            "--plots-form",
            type=click.Choice(["svg", "png"]),
            default="svg",
            show_default=True,
            help="The form of the charts.",
        ),
    )
