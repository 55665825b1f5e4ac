"""The words that sources give for bands of an index: screening only, never a coolant verdict."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, slots=True)
class IndexClasses:
    """The bands of one index, with their source.

    Parameters
    ----------
    edges : tuple of float
        Values between neighbouring bands, ascending.
    words : tuple of str
        One more than the edges; '' where the source gives no word.
    edge_belongs : tuple of str
        ``above`` or ``below`` for every edge: the band that a value on it belongs to.
    source : str
        Where the bands come from.
    evidence : str
        ``published``, ``library``, ``common practice`` or ``memory``.
    """

    edges: tuple[float, ...]
    words: tuple[str, ...]
    edge_belongs: tuple[str, ...]
    source: str
    evidence: str


INDEX_CLASSES: Mapping[str, IndexClasses] = MappingProxyType(
    {
        "langelier_index": IndexClasses(
            (-0.5, 0.5),
            ("potentially corrosive", "indeterminate", "scaling"),
            ("above", "below"),
            "USGS SIR 2016-5092 for the index and its use; cut-offs from memory",
            "memory",
        ),
        "ryznar_index": IndexClasses(
            (6.0, 7.0, 8.0),
            (
                "scale rises",
                "",
                "no protective film",
                "no protective film, mild steel corrosion grows",
            ),
            ("above", "below", "below"),
            "Corrosion Engineering: Principles and Practice, chapter 8",
            "published",
        ),
        "puckorius_index": IndexClasses(
            (6.0,), ("scale", "no scale"), ("above",), "UFC 3-240-13FN, appendix B", "published"
        ),
        "larson_skold": IndexClasses(
            (0.8, 1.2),
            (
                "corrosion by chloride and sulfate unlikely",
                "corrosion by chloride and sulfate possible",
                "accelerated corrosion by chloride and sulfate",
            ),
            ("above", "below"),
            "quoted from Roberge 2006, second-hand; for water like that of the Great Lakes only",
            "published",
        ),
        "aggressive_index": IndexClasses(
            (10.0, 12.0),
            ("highly aggressive", "moderately aggressive", "not aggressive"),
            ("above", "above"),
            "AWWA C400-77",
            "memory",
        ),
        "ccpp_mg_per_kg": IndexClasses(
            (-10.0, -5.0, 0.0, 10.0),
            ("corrosive", "mildly corrosive", "passive", "protective", "scaling"),
            ("above", "above", "above", "below"),
            "low-confidence memory, no source found",
            "memory",
        ),
    }
)


def index_class(index: str, values: ArrayLike) -> NDArray[np.str_]:
    """Name the band that each value of an index falls into.

    Parameters
    ----------
    index : str
        A key of `INDEX_CLASSES`.
    values : float or array-like, shape (n,)
        Values of the index.

    Returns
    -------
    numpy.ndarray of str
        The source's word; '' where the value is NaN or the source gives none.

    Raises
    ------
    KeyError
        If no source gives bands for the index.

    Notes
    -----
    The sources are with each entry of `INDEX_CLASSES`. The bands were made for cold water in
    pipes; none describes a cooling system.

    Examples
    --------
    >>> index_class("langelier_index", [-0.73, 0.27, 1.35, float("nan")]).tolist()
    ['potentially corrosive', 'indeterminate', 'scaling', '']
    """
    classes = INDEX_CLASSES[index]
    numbers = np.asarray(values, dtype=np.float64)
    band = np.zeros(numbers.shape, dtype=np.intp)
    for edge, belongs in zip(classes.edges, classes.edge_belongs, strict=True):
        band += (numbers >= edge) if belongs == "above" else (numbers > edge)
    words = np.asarray(classes.words)[band]
    return np.where(np.isnan(numbers), "", words)


def chloride_sulfate_class(ratio: ArrayLike, alkalinity: ArrayLike) -> NDArray[np.str_]:
    """Name the potential for galvanic lead corrosion that a chloride-sulfate mass ratio means.

    Parameters
    ----------
    ratio : float or array-like
        Chloride-sulfate mass ratio.
    alkalinity : float or array-like
        [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray of str
        ``low`` below 0.2, ``moderate`` to 0.5, above it ``moderate`` or ``high`` by an alkalinity
        of 50 mg/L; '' where it cannot be told.

    References
    ----------
    .. [1] Bands as quoted from US Geological Survey SIR 2016-5092 (second-hand).

    Examples
    --------
    >>> chloride_sulfate_class([0.1, 0.3, 1.0, 1.0], [80.0, 80.0, 80.0, 20.0]).tolist()
    ['low', 'moderate', 'moderate', 'high']
    """
    shares, alkaline = np.broadcast_arrays(
        np.asarray(ratio, dtype=np.float64), np.asarray(alkalinity, dtype=np.float64)
    )
    high = (shares > 0.5) & (alkaline < 50.0)
    moderate = (shares >= 0.2) & (shares <= 0.5) | (shares > 0.5) & (alkaline >= 50.0)
    return np.select([shares < 0.2, moderate, high], ["low", "moderate", "high"], default="")
