"""What a run asks of the memory."""

import subprocess
import sys
from pathlib import Path

import pytest

from chemcheck.cli.memory import HUGE_PAGES, prefer_small_pages

PROJECT = Path(__file__).parents[2]


def test_the_users_environment_comes_first(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(HUGE_PAGES, "1")
    prefer_small_pages()
    import os

    assert os.environ[HUGE_PAGES] == "1"


def test_it_is_said_before_numpy_is_imported() -> None:
    program = (
        "import sys, chemcheck.cli.main as c\n"
        "print('numpy' in sys.modules)\n"
        "try: c.main(['--version'])\n"
        "except SystemExit: pass\n"
        f"import os; print(os.environ['{HUGE_PAGES}'])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=PROJECT, capture_output=True, text=True, check=True
    )
    first, *_, last = done.stdout.split()
    assert (first, last) == ("False", "0")


def test_garbage_is_looked_for_seldom() -> None:
    program = (
        "import gc, chemcheck.cli.main as c\n"
        "try: c.main(['--version'])\n"
        "except SystemExit: pass\n"
        "print(gc.isenabled(), gc.get_threshold()[0] > 10_000)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=PROJECT, capture_output=True, text=True, check=True
    )
    assert done.stdout.split()[-2:] == ["True", "True"]
