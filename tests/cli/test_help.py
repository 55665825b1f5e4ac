"""Every command has help that ends in examples, and every example runs."""

import shlex
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main

PROJECT = Path(__file__).parents[2]


def commands(group: click.Group, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Give every command and group below a group."""
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        yield (*path, name)
        if isinstance(command, click.Group):
            yield from commands(command, (*path, name))


ALL = list(commands(main))


def help_of(path: tuple[str, ...], option: str) -> str:
    result = CliRunner().invoke(main, [*path, option])
    assert result.exit_code == 0
    return result.stdout


@pytest.mark.parametrize("path", [(), *ALL], ids=" ".join)
def test_both_help_options_say_the_same(path):
    assert help_of(path, "-h") == help_of(path, "--help")


@pytest.mark.parametrize("path", ALL, ids=" ".join)
def test_help_ends_in_examples_that_run(path, monkeypatch, tmp_path):
    text = help_of(path, "--help")
    _, _, last = text.rpartition("\n  Example")
    examples = [line.strip() for line in last.splitlines() if "chemcheck " in line]
    assert examples, text
    assert text.rstrip().endswith(examples[-1])
    for name in ("sample_results", "limits"):
        (tmp_path / name).symlink_to(PROJECT / name)
    monkeypatch.chdir(tmp_path)
    for example in examples:
        program, *arguments = shlex.split(example)
        assert program == "chemcheck"
        result = CliRunner().invoke(main, arguments)
        # 3 where the example asks to fail on what it finds.
        assert result.exit_code in (0, 3), (example, result.stderr)
        assert "--fail-on" in arguments or result.exit_code == 0


@pytest.mark.parametrize("path", ALL, ids=" ".join)
def test_help_says_what_a_command_does_in_its_first_line(path):
    lines = help_of(path, "--help").splitlines()
    assert lines[0].startswith("Usage: ")
    assert lines[2].strip()[0].isupper()
