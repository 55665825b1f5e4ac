"""Samples of which the readings do not bear out the technology that is stated."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from chemcheck.causes.technology import contradicted
from chemcheck.readings.questions import ask, join_questions
from chemcheck.readings.record import Readings


@dataclass(frozen=True, slots=True)
class BorneOut:
    """Readings as stated, and as they may be judged.

    Parameters
    ----------
    readings : Readings
        As stated, with a question for each sample whose technology is not borne out.
    judged : Readings
        The same, with the technology of those samples unknown: what depends on it is not
        judged.
    assumptions : tuple of str
        How many they are.
    """

    readings: Readings
    judged: Readings
    assumptions: tuple[str, ...]


def without_contradicted(readings: Readings) -> BorneOut:
    """Take the technology away where the readings contradict it, for judging only.

    Parameters
    ----------
    readings : Readings
        All samples.
    """
    found = contradicted(readings)
    if not found.row.size:
        return BorneOut(readings, readings, ())
    samples = readings.samples
    stated = samples["technology"].iloc[found.row].tolist()
    questions = join_questions(
        [readings.questions, ask(samples, found.row, "technology", stated, _asked(found.says))]
    )
    asked = replace(readings, questions=questions)
    unknown = np.zeros(len(samples), dtype=np.bool_)
    unknown[found.row] = True
    masked = samples.assign(technology=samples["technology"].mask(unknown))
    said = (
        f"the technology stated for {found.row.size:,} samples is not borne out by their readings: "
        "what depends on it is not judged there"
    )
    return BorneOut(asked, replace(asked, samples=masked), (said,))


def _asked(says: Sequence[str]) -> list[str]:
    return [f"{one}: is another coolant in it?" for one in says]
