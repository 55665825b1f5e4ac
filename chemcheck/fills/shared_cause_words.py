"""Shared causes in words: the shift, who shares it, and what to test."""

from collections.abc import Sequence

import pandas as pd

from chemcheck.analytes import vocabulary
from chemcheck.fills.shared_causes import SharedCause, what_to_test
from chemcheck.readings.record import Readings


def shared_cause_words(cause: SharedCause) -> str:
    """Write a shared cause as one sentence, with what to test.

    Parameters
    ----------
    cause : SharedCause
        The finding.

    Examples
    --------
    >>> shared_cause_words(SharedCause(
    ...     "bulk_tank", "T2", "2031-04", ("chloride",), (1.8,), 6, 7.2,
    ... ))
    'chloride (1.8 times) shifted together in 6 units of bulk tank T2 from 2031-04 on: sample the
    tank, top and bottom'
    """
    moved = ", ".join(
        f"{vocabulary()[key].title} ({_shift_words(key, shift)})"
        for key, shift in zip(cause.analytes, cause.shift, strict=True)
    )
    if cause.kind.startswith("change of"):
        whose = "waters" if cause.holders == "sources" else "coolants"
        return (
            f"{moved} stepped in {cause.units} {cause.holders} with the {cause.kind}, "
            f"{cause.level}: the step is the change's, not the {whose}'; measure one sample both "
            "ways"
        )
    where = f"of {cause.kind.replace('_', ' ')} {cause.level}"
    where = "of the whole fleet" if cause.kind == "date" else where
    also = "".join(
        f"; {kind.replace('_', ' ')} {level} explains it as well" for kind, level in cause.also
    )
    return (
        f"{moved} shifted together in {cause.units} {cause.holders} {where} from {cause.since} "
        f"on{also}: {what_to_test()[cause.kind]}"
    )


def _shift_words(analyte: str, shift: float) -> str:
    if vocabulary()[analyte].dimension in ("pH", "temperature"):
        return f"by {shift:+.2g}"
    return f"{shift:.2g} times"


def shared_cause_questions(readings: Readings, causes: Sequence[SharedCause]) -> pd.DataFrame:
    """Write shared causes as questions that stand before those about single rows.

    Returns
    -------
    DataFrame
        ``QUESTION_COLUMNS``, the row unknown.
    """
    name = readings.files[0].name if readings.files else ""
    return pd.DataFrame(
        {
            "file": pd.Series([name] * len(causes), dtype="str"),
            "row": pd.array([None] * len(causes), dtype="Int64"),
            "column": pd.Series([cause.kind for cause in causes], dtype="str"),
            "text": pd.Series([cause.level for cause in causes], dtype="str"),
            "question": pd.Series(
                [f"{shared_cause_words(cause)}?" for cause in causes], dtype="str"
            ),
        }
    )
