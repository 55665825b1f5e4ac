"""What a command needs next is imported while it reads."""

import subprocess
import sys
from pathlib import Path

PROJECT = Path(__file__).parents[2]


def run(program: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", program], cwd=PROJECT, capture_output=True, text=True, check=False
    )


def test_a_module_is_there_when_the_thread_has_ended():
    done = run(
        "import sys, threading\n"
        "from chemcheck.cli.imports import import_meanwhile\n"
        "import_meanwhile('chemcheck.units')\n"
        "[each.join() for each in threading.enumerate() if each is not threading.main_thread()]\n"
        "print('chemcheck.units' in sys.modules)\n"
    )
    assert done.stdout == "True\n"


def test_a_file_that_cannot_be_read_is_still_one_line():
    done = run("from chemcheck.cli import main; main(['check', 'nowhere.csv', '--out', 'x'])")
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "nowhere.csv" in done.stderr
