"""How far Pitzer's model of the same engine lies from the answers compared with: reported, no gate.

Run from the project's root in the reference environment:
``python -m tests.reference.pitzer_differences``. Pitzer's database knows fewer pairs and other
constants at high temperature; neither model is the truth far from 25 deg C.
"""

import sys
from collections.abc import Iterator

import numpy as np

from tests.reference.phreeqc import FIGURES, TEMPERATURES, answers, engine, generate

SHOWN = ("ph", "calcite", "gypsum", "ccpp")


def differences() -> tuple[list[str], np.ndarray]:
    """Return the kind of every water, and Pitzer's figures less those of phreeqc.dat.

    Returns
    -------
    kinds : list of str
        Of each water.
    off : numpy.ndarray, shape (waters, temperatures, figures)
        In the order of `FIGURES`.
    """
    import phreeqpython

    kinds, waters = generate()
    other = phreeqpython.PhreeqPython(database="pitzer.dat")
    return kinds, answers(other, waters) - answers(engine(), waters)


def report(kinds: list[str], off: np.ndarray) -> Iterator[str]:
    """Write the median and the largest difference of each kind of water."""
    titles = "".join(f"{name:>20}" for name in SHOWN)
    yield f"{'kind of water':20}{'deg C':>6}{titles}   (median, largest)"
    names = np.array(kinds)
    for kind in dict.fromkeys(kinds):
        for step, temperature in enumerate(TEMPERATURES):
            here = off[names == kind, step]
            cells = []
            for name in SHOWN:
                values = here[:, FIGURES.index(name)]
                largest = values[np.argmax(np.abs(values))]
                cells.append(f"{np.median(values):+10.2f}{largest:+10.2f}")
            yield f"{kind:20}{temperature:6g}{''.join(cells)}"


if __name__ == "__main__":
    sys.stdout.writelines(f"{line}\n" for line in report(*differences()))
