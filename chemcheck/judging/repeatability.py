"""A laboratory's own repeatability, from the samples it measured twice."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import MATERIALS, vocabulary
from chemcheck.judging.characteristic_function import Scatter, pooled_scatter
from chemcheck.judging.replicates import Replicates, find_replicates
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.questions import ask, interval_text, join_questions, no_questions
from chemcheck.readings.record import Readings

# On these scales half of a value means nothing, so no scatter is a share of it.
_WITHOUT_ZERO = ("pH", "temperature", "rank")


@dataclass(frozen=True, slots=True)
class OwnRepeatability:
    """What the duplicates of one laboratory say of one analyte by one method.

    Parameters
    ----------
    column : int
        The column of readings.
    laboratory, method : int
        Codes as in the readings; -1 where none is named, which counts as one.
    material : int
        Position in `chemcheck.analytes.MATERIALS`.
    pairs : int
        Pairs of exact results; of three results of one sample two count.
    left_out : int
        Results of duplicates that are intervals, or zero, and say nothing of scatter.
    scatter : Scatter or None
        None where no two results differ.
    enough : bool
        Whether there are so many pairs that this stands in for the library's figure.
    """

    column: int
    laboratory: int
    method: int
    material: int
    pairs: int
    left_out: int
    scatter: Scatter | None
    enough: bool


def own_repeatability(readings: Readings) -> tuple[OwnRepeatability, ...]:
    """Take each laboratory's repeatability from its duplicates, by analyte and method.

    Parameters
    ----------
    readings : Readings
        With samples of the type ``duplicate`` beside those that they repeat.

    Returns
    -------
    tuple of OwnRepeatability
        One for each analyte, laboratory, method and material with any duplicate; empty
        where there are no duplicates, which costs one look at the sample types.

    Notes
    -----
    From `least_pairs` pairs on the figure is used in place of the library's: see
    ``limits/checks/duplicates.yaml``. It holds the scatter within the laboratory, not its
    bias against others.
    """
    pairs = find_replicates(readings.samples)
    return tuple(each for each, _ in _by_laboratory(readings, pairs))


def about_repeatability(readings: Readings, found: tuple[OwnRepeatability, ...]) -> tuple[str, ...]:
    """Say in one line each what is used of laboratories' own repeatability, and what is not.

    Parameters
    ----------
    readings : Readings
        Of which they are.
    found : tuple of OwnRepeatability
        From `own_repeatability`.

    Returns
    -------
    tuple of str
        Assumptions.
    """
    lines = []
    least = int(check_settings("duplicates")["least_pairs"].value)
    few: dict[str, list[str]] = {}
    for each in found:
        title = _title(readings, each)
        who = _who(readings, each)
        if each.enough and each.scatter is not None:
            also = f", {each.left_out} results that are no exact numbers left out"
            lines.append(
                f"{title}: {who} repeats itself within {_size(readings, each)} (one standard "
                f"deviation, {each.pairs} pairs of duplicates{also if each.left_out else ''}); "
                "used in place of the library's uncertainty; its bias is not in it"
            )
        elif each.enough:
            lines.append(
                f"{title}: none of {each.pairs} pairs of duplicates of {who} differ, so they are "
                "rounded more coarsely than they scatter; the library's uncertainty is used"
            )
        else:
            few.setdefault(who, []).append(f"{title} {each.pairs}")
    lines += [
        f"duplicates of {who} are too few to replace the library's uncertainty "
        f"({least} pairs are needed): {', '.join(titles)}"
        for who, titles in few.items()
    ]
    return tuple(lines)


def duplicate_questions(readings: Readings) -> pd.DataFrame:
    """Ask about duplicates that have no first sample, or are too far from it.

    Parameters
    ----------
    readings : Readings
        With samples of the type ``duplicate``.

    Returns
    -------
    DataFrame
        ``QUESTION_COLUMNS``. Results of a pair are too far apart beyond ``widest_pair``
        standard deviations, those of the laboratory where it has enough pairs: a swapped
        bottle or a slip in one of the two.
    """
    pairs = find_replicates(readings.samples)
    tables = []
    if pairs.unpaired.size:
        names = _names(readings.samples, pairs.unpaired)
        tables.append(
            ask(
                readings.samples,
                pairs.unpaired,
                "sample_type",
                names,
                "a duplicate of which sample? none with its number, or of its unit and day, "
                "stands alone in the files",
            )
        )
    width = check_settings("duplicates")["widest_pair"].value
    for each, rows in _by_laboratory(readings, pairs):
        if each.enough and each.scatter is not None:
            tables.append(_too_far(readings, each, each.scatter, pairs, rows, width))
    return join_questions(tables) if tables else no_questions()


def _by_laboratory(
    readings: Readings, pairs: Replicates
) -> Iterator[tuple[OwnRepeatability, npt.NDArray[np.intp]]]:
    """Yield each figure, with the places among the pairs that it rests on."""
    if not pairs.row.size:
        return
    least = check_settings("duplicates")["least_pairs"].value
    gain = check_settings("duplicates")["gain_of_both"].value
    material = (readings.samples["material"].iloc[pairs.row] == MATERIALS[1]).to_numpy()
    for j, column in enumerate(readings.columns):
        analyte = vocabulary()[column.analyte]
        if analyte.words:
            continue
        low, high = readings.lower[pairs.row, j], readings.upper[pairs.row, j]
        keys = np.column_stack(
            [
                readings.laboratory.codes[pairs.row, j],
                readings.method.codes[pairs.row, j],
                material,
            ]
        )
        keys[np.isnan(low)] = -9
        for kind in np.unique(keys, axis=0):
            if kind[0] == -9:
                continue
            here = np.flatnonzero((keys == kind).all(axis=1))
            exact = here[(low[here] == high[here]) & np.isfinite(high[here])]
            level, variance, degrees = _groups(pairs.group[exact], low[exact])
            twice = np.bincount(pairs.group[here])
            of_pairs = int((twice[twice > 1] - 1).sum())
            if not of_pairs:
                continue
            scale = np.inf if analyte.dimension in _WITHOUT_ZERO else gain
            scatter = pooled_scatter(level, variance, degrees, gain_of_both=scale)
            used = int(degrees.sum()) if scatter is None else scatter.degrees
            yield (
                OwnRepeatability(
                    column=j,
                    laboratory=int(kind[0]),
                    method=int(kind[1]),
                    material=int(kind[2]),
                    pairs=used,
                    left_out=of_pairs - used,
                    scatter=scatter,
                    enough=used >= least,
                ),
                exact,
            )


def _groups(
    group: npt.NDArray[np.intp], values: npt.NDArray[np.float64]
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64], npt.NDArray[np.intp]]:
    """Return mean, variance and degrees of freedom of the groups with two values or more."""
    count = np.bincount(group)
    mean = np.bincount(group, weights=values) / np.maximum(count, 1)
    square = np.bincount(group, weights=(values - mean[group]) ** 2)
    several = count > 1
    degrees = count[several] - 1
    return mean[several], square[several] / degrees, degrees


def _too_far(
    readings: Readings,
    each: OwnRepeatability,
    scatter: Scatter,
    pairs: Replicates,
    places: npt.NDArray[np.intp],
    width: float,
) -> pd.DataFrame:
    """Ask about the pairs that differ by more than a pair can."""
    group = pairs.group[places]
    values = readings.lower[pairs.row[places], each.column]
    size = group.max(initial=-1) + 1
    least, most = np.full(size, np.inf), np.full(size, -np.inf)
    np.minimum.at(least, group, values)
    np.maximum.at(most, group, values)
    with np.errstate(invalid="ignore"):  # groups of which nothing exact was read
        apart = most - least > width * scatter.at((most + least) / 2)
    at = np.flatnonzero(apart[group] & (values == most[group]))
    column = readings.columns[each.column]
    unit = vocabulary()[column.analyte].unit
    said = [
        f"{interval_text(low, low, unit)} in the other of the pair: duplicates of "
        f"{_who(readings, each)} differ by {interval_text(limit, limit, unit)} at the most; "
        "was a bottle swapped, or one of the two misread?"
        for low, limit in zip(
            least[group[at]],
            width * scatter.at((most + least)[group[at]] / 2),
            strict=True,
        )
    ]
    texts = [interval_text(value, value) for value in values[at]]
    return ask(readings.samples, pairs.row[places[at]], column.analyte, texts, said)


def _title(readings: Readings, each: OwnRepeatability) -> str:
    return vocabulary()[readings.columns[each.column].analyte].title


def _who(readings: Readings, each: OwnRepeatability) -> str:
    laboratory = (
        "a laboratory that no file names"
        if each.laboratory < 0
        else f"laboratory {readings.laboratory.names[each.laboratory]}"
    )
    if each.method < 0:
        return laboratory
    return f"{laboratory} by {readings.method.names[each.method]}"


def _size(readings: Readings, each: OwnRepeatability) -> str:
    """Write the scatter: a constant, a percentage, or both."""
    assert each.scatter is not None
    unit = vocabulary()[readings.columns[each.column].analyte].unit
    constant = interval_text(each.scatter.absolute, each.scatter.absolute, unit)
    share = f"{each.scatter.relative:.2%}"
    if not each.scatter.relative:
        return constant
    return share if not each.scatter.absolute else f"{constant} and {share} in quadrature"


def _names(samples: pd.DataFrame, rows: npt.NDArray[np.intp]) -> list[str]:
    at = samples.iloc[rows]
    return at["sample_id"].fillna(at["unit_id"]).fillna("").tolist()
