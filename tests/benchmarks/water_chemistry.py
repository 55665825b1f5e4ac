"""Waters per second, side by side with PHREEQC in one run on one core.

Run in the reference environment: ``python tests/benchmarks/water_chemistry.py``. The rounds run in
a process of their own, because the number of threads must be set before numpy starts.
"""

import os
import subprocess
import sys
from pathlib import Path

ONE_CORE = dict.fromkeys(("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS"), "1")


def main() -> int:
    """Run the rounds and return their exit status."""
    return subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.water_chemistry_rounds"],
        cwd=Path(__file__).parents[2],
        env={**os.environ, **ONE_CORE},
        check=False,
    ).returncode


if __name__ == "__main__":
    sys.exit(main())
