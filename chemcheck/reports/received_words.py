"""What was found of new coolant, in words and as columns of text."""

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.received_goods import ReceivedGoods
from chemcheck.assessment.record import Assessment
from chemcheck.judging.record import STATE_NAMES
from chemcheck.limit_library.received_goods import ASPECTS

REFERENCE = "reference"
RECEIVED_COLUMNS = (*ASPECTS, REFERENCE)
# Between the names of references in one field.
SEPARATOR = "; "


def received_words(assessment: Assessment, row: int) -> str:
    """Say of a sample of new coolant what was asked and answered; empty for any other.

    Parameters
    ----------
    assessment : Assessment
        All samples.
    row : int
        Position of the sample.
    """
    received = assessment.received
    states = None if received is None else received.of_sample(row)
    if received is None or states is None:
        return ""
    names = received.references_of(row)
    against = f"held against the reference {', '.join(names)}" if names else "no reference"
    told = ", ".join(f"{name} {state}" for name, state in states.items())
    return f"New coolant, {against}: {told}."


def received_texts(
    received: ReceivedGoods, n: int
) -> Iterator[tuple[str, npt.NDArray[np.intp], tuple[str, ...]]]:
    """Yield, for each column, its title, the place of each sample's text, and the texts.

    Parameters
    ----------
    received : ReceivedGoods
        Of some of the samples.
    n : int
        How many samples there are; those that are no new coolant have -1.
    """
    for k, name in enumerate(ASPECTS):
        code = np.full(n, -1, dtype=np.intp)
        code[received.row] = received.state[:, k]
        yield name, code, STATE_NAMES
    code = np.full(n, -1, dtype=np.intp)
    code[received.row] = received.code
    yield REFERENCE, code, tuple(map(SEPARATOR.join, received.references))
