"""What was found of new coolant, in words and as columns of text."""

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.received_goods import ReceivedGoods
from chemcheck.assessment.record import Assessment
from chemcheck.judging import Judged
from chemcheck.judging.record import INSIDE, NOT_JUDGED, STATE_NAMES
from chemcheck.limit_library.received_goods import ASPECTS, received_goods_rules
from chemcheck.reports.document import Section

REFERENCE = "reference"
RECEIVED_COLUMNS = (*ASPECTS, REFERENCE)
# Between the names of references in one field.
SEPARATOR = "; "


def received_section(assessment: Assessment, row: int) -> Section | None:
    """Say of a sample of new coolant what was asked and answered; None for any other.

    Parameters
    ----------
    assessment : Assessment
        All samples.
    row : int
        Position of the sample.

    Returns
    -------
    Section or None
        What it was held against, and each answer with what decided it.
    """
    received = assessment.received
    states = None if received is None else received.of_sample(row)
    if received is None or states is None:
        return None
    names = received.references_of(row)
    against = f"Held against the reference {', '.join(names)}" if names else "No reference"
    answers = [
        f"{name.capitalize()}: {state}{_decided_by(assessment.headline, row, name, state)}."
        for name, state in states.items()
    ]
    return Section("New coolant", (f"{against}.", *answers))


def _decided_by(judged: Judged, row: int, aspect: str, state: str) -> str:
    """Name what is in the state that an answer has."""
    if state == STATE_NAMES[INSIDE] or state not in STATE_NAMES:
        return ""
    answering = received_goods_rules().aspects[aspect]
    code = STATE_NAMES.index(state)
    names = [
        quantity.title
        for place, quantity in enumerate(judged.quantities)
        if quantity.key in answering and judged.state[row, place] == code != NOT_JUDGED
    ]
    return f", by {', '.join(names)}" if names else ""


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
