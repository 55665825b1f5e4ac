"""What the start of every command stands on imports nothing heavy."""

import subprocess
import sys

PROGRAM = """
import sys
from chemcheck.analytes import find_analyte, to_canonical, vocabulary
assert len(vocabulary()) > 50 and find_analyte("TH") and to_canonical("chloride", "gpg")
print(*sorted({"numpy", "pandas", "pyarrow", "scipy"} & set(sys.modules)))
"""


def test_the_vocabulary_needs_no_numbers_library() -> None:
    run = [sys.executable, "-c", PROGRAM]
    done = subprocess.run(run, check=True, capture_output=True, text=True)
    assert done.stdout.split() == []
