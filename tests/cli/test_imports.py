"""What a command needs next is imported while it reads."""

import subprocess
import sys
from pathlib import Path

PROJECT = Path(__file__).parents[2]


def run(program: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", program], cwd=PROJECT, capture_output=True, text=True, check=False
    )


def test_a_module_is_there_when_the_work_is_done():
    done = run(
        "import sys\n"
        "from chemcheck.cli.imports import imported_meanwhile\n"
        "with imported_meanwhile('chemcheck.nowhere', 'chemcheck.units'): pass\n"
        "print('chemcheck.units' in sys.modules)\n"
    )
    assert (done.stdout, done.stderr) == ("True\n", "")


def test_a_file_that_cannot_be_read_is_still_one_line():
    done = run("from chemcheck.cli import main; main(['check', 'nowhere.csv', '--out', 'x'])")
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "nowhere.csv" in done.stderr
