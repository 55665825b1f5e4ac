"""Shell completion: a shell asks the program what may follow, by click's own protocol."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from chemcheck.cli.main import COMMANDS

PROJECT = Path(__file__).parents[2]


def asked(words: str, at: int) -> list[str]:
    """Ask as bash does; give what may stand at a place of the line."""
    done = subprocess.run(
        [sys.executable, "-m", "chemcheck"],
        cwd=PROJECT,
        env=os.environ
        | {"_CHEMCHECK_COMPLETE": "bash_complete", "COMP_WORDS": words, "COMP_CWORD": str(at)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""
    return [line.partition(",")[2] for line in done.stdout.splitlines()]


@pytest.mark.parametrize(
    ("words", "at", "offered"),
    [
        ("chemcheck fo", 1, ["forecast"]),
        ("chemcheck ", 1, list(COMMANDS)),
        ("chemcheck limits s", 2, ["show"]),
        ("chemcheck forecast --ri", 2, ["--risk"]),
        ("chemcheck check --rule ", 3, ["overlap", "simple", "guarded"]),
        ("chemcheck blend --format j", 3, ["json"]),
    ],
)
def test_what_may_follow_is_offered(words, at, offered):
    assert asked(words, at) == offered


def test_a_shell_is_given_a_function_for_the_program():
    done = subprocess.run(
        [sys.executable, "-m", "chemcheck"],
        cwd=PROJECT,
        env=os.environ | {"_CHEMCHECK_COMPLETE": "zsh_source"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert "#compdef chemcheck" in done.stdout
