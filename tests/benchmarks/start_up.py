"""Time the start of the command line against ``import pandas``, in one run.

Run by hand: ``python tests/benchmarks/start_up.py [ROUNDS]``. Each round times every command
once, so that what else the machine does falls on all of them; the least time of each counts.
"""

import subprocess
import sys
import time
from pathlib import Path

PROJECT = Path(__file__).parents[2]
PANDAS = ("-c", "import pandas")
COMMANDS = {
    "chemcheck --help": (("-m", "chemcheck", "--help"), 0.5),
    "chemcheck limits list": (("-m", "chemcheck", "limits", "list"), 1.0),
}


def seconds(arguments: tuple[str, ...]) -> float:
    """Run Python with these arguments and return how long it took [s]."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], cwd=PROJECT, check=True, capture_output=True)
    return time.perf_counter() - start


def main(rounds: int) -> None:
    """Print each command's time over that of importing pandas."""
    runs = {"import pandas": PANDAS} | {name: command for name, (command, _) in COMMANDS.items()}
    least = dict.fromkeys(runs, float("inf"))
    for _ in range(rounds):
        for name, arguments in runs.items():
            least[name] = min(least[name], seconds(arguments))
    lines = [f"import pandas           {least['import pandas'] * 1000:6.0f} ms"]
    for name, (_, allowed) in COMMANDS.items():
        ratio = least[name] / least["import pandas"]
        goal = "" if allowed is None else f"  (at most {allowed})"
        lines.append(f"{name:23} {least[name] * 1000:6.0f} ms  ratio {ratio:.2f}{goal}")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10)
