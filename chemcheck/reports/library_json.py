"""The vocabulary and the limit library for another program."""

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any

from chemcheck._version import __version__
from chemcheck.analytes.record import Analyte


def analytes_document(analytes: Sequence[Analyte]) -> dict[str, Any]:
    """Return the vocabulary as a JSON document.

    Parameters
    ----------
    analytes : sequence of Analyte
        What to list.

    Examples
    --------
    >>> from chemcheck.analytes import analyte
    >>> document = analytes_document([analyte("nitrate")])
    >>> document["schema"], document["analytes"][0]["unit"]
    ('chemcheck/analytes/1', 'mg/L')
    """
    return {
        "schema": "chemcheck/analytes/1",
        "version": __version__,
        "assumptions": [],
        "cautions": [],
        "analytes": [analyte_entry(one) for one in analytes],
    }


def analyte_entry(analyte: Analyte) -> dict[str, Any]:
    """Return one analyte as JSON values."""
    return {
        "key": analyte.key,
        "title": analyte.title,
        "unit": analyte.unit,
        "aliases": list(analyte.aliases),
        "forms": dict(analyte.forms),
        "bases": [
            {"key": basis.key, "title": basis.title, "factor": basis.factor}
            for basis in analyte.bases
        ],
        "usual_unit": dict(analyte.usual_unit),
        "choices": list(analyte.choices),
        "possible": _ends(analyte.possible),
        "usual": {material: _ends(ends) for material, ends in analyte.usual.items()},
        "words": [list(words) for words in analyte.words],
    }


def to_text(document: Mapping[str, Any]) -> str:
    r"""Write a JSON document; it must hold neither NaN nor infinity.

    Raises
    ------
    ValueError
        If it does.

    Examples
    --------
    >>> to_text({"unit": "µS/cm"})
    '{\n  "unit": "µS/cm"\n}\n'
    """
    return json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _ends(ends: tuple[float, float]) -> list[float | None]:
    return [end if math.isfinite(end) else None for end in ends]
