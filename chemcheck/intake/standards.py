"""Check standards that the user names in a columns file, with what they are certified to hold."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.analytes import analyte as analyte_of
from chemcheck.analytes import find_analyte, to_canonical, vocabulary
from chemcheck.errors import Problem, UnitError, not_one_of
from chemcheck.limit_library.located_yaml import Located
from chemcheck.readings.sample_types import CHECK_STANDARD

_KEYS = ("value", "unit", "form")


@dataclass(frozen=True, slots=True)
class NamedStandard:
    """One check standard.

    Parameters
    ----------
    name : str
        Its sample number or unit, as in the files.
    line : int
        The line of the columns file.
    certified : mapping of str to float
        By analyte [canonical unit].
    """

    name: str
    line: int
    certified: Mapping[str, float]


def read_standards(node: Located) -> tuple[NamedStandard, ...]:
    """Read the standards of a columns file.

    Parameters
    ----------
    node : Located
        By name, each with its analytes: a number, or ``{value: 100, unit: mg/L}``.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    return tuple(
        NamedStandard(
            name, entry.line, dict(_certified(key, each) for key, each in entry.mapping().items())
        )
        for name, entry in node.mapping().items()
    )


def _certified(key: str, node: Located) -> tuple[str, float]:
    """Read what a standard is certified to hold of one analyte."""
    analyte = find_analyte(key)
    if analyte is None:
        raise node.error(not_one_of(key, vocabulary(), "analyte"))
    if isinstance(node.content, str):
        if analyte_of(analyte).unit not in ("pH", "1"):
            node.refuse(f"has no unit; write {{value: …, unit: {analyte_of(analyte).unit}}}")
        return analyte, node.number()
    fields = node.fields(_KEYS, ("value", "unit"))
    form = fields["form"].text() if "form" in fields else None
    try:
        change = to_canonical(analyte, fields["unit"].text(), form=form, density=1.0)
    except UnitError as error:
        raise fields["unit"].error(str(error)) from None
    return analyte, float(change(fields["value"].number()))


def with_standards(samples: pd.DataFrame, standards: Sequence[NamedStandard]) -> pd.DataFrame:
    """Mark the samples that are a named standard, and state beside them what it holds.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        Of one file, with ``sample_id``, ``unit_id`` and ``sample_type``.
    standards : sequence of NamedStandard
        From a columns file.

    Returns
    -------
    DataFrame
        With the sample type of check standards, and a free column for each analyte; the
        same table where no sample is a named standard.

    Examples
    --------
    >>> samples = pd.DataFrame(
    ...     {"sample_id": ["QC 1", "A"], "unit_id": None, "sample_type": "routine"}, dtype="str"
    ... )
    >>> with_standards(samples, [NamedStandard("QC-1", 3, {"chloride": 100.0})]).iloc[0].tolist()
    ['QC 1', nan, 'check standard', '100.0']
    """
    for standard in standards:
        here = _is(samples, standard.name)
        if not here.any():
            continue
        kinds = samples["sample_type"].astype("str").mask(here, CHECK_STANDARD)
        samples = samples.assign(sample_type=kinds)
        for key, value in standard.certified.items():
            unit = analyte_of(key).unit
            title = f"certified {key} ({unit})" if unit not in ("pH", "1") else f"certified {key}"
            stated = pd.Series(pd.NA, index=samples.index, dtype="str")
            if title in samples:
                stated = samples[title].astype("str")
            samples = samples.assign(**{title: stated.mask(here, repr(value))})
    return samples


def unused_standards(
    tables: Sequence[pd.DataFrame], standards: Sequence[NamedStandard], file: str
) -> list[Problem]:
    """Name the standards that no sample of any file is."""
    return [
        Problem(file, s.line, s.name, "", "no sample of the files has this number or unit")
        for s in standards
        if not any(_is(samples, s.name).any() for samples in tables)
    ]


def _is(samples: pd.DataFrame, name: str) -> npt.NDArray[np.bool_]:
    """Return which samples are called so, by number or unit."""
    answer = np.zeros(len(samples), dtype=np.bool_)
    wanted = _plain(pa.array([name]))[0]
    for column in ("sample_id", "unit_id"):
        called = _plain(pa.array(samples[column], pa.large_string()))
        answer |= np.asarray(pc.fill_null(pc.equal(called, wanted), False))
    return answer


def _plain(texts: pa.Array) -> pa.Array:
    """Return texts without case, spaces and punctuation."""
    return pc.replace_substring_regex(pc.utf8_lower(texts), r"[^\pL\pN]+", "")
