"""The vocabulary and the limit library for another program."""

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any

from chemcheck._version import __version__
from chemcheck.analytes import analyte
from chemcheck.analytes.record import Analyte
from chemcheck.limit_library import SetTitle, cautions, requirement_words
from chemcheck.limit_library.records import AnalyteLimit, Bound, LimitSet


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


def analyte_entry(known: Analyte) -> dict[str, Any]:
    """Return one analyte as JSON values."""
    return {
        "key": known.key,
        "title": known.title,
        "unit": known.unit,
        "aliases": list(known.aliases),
        "forms": dict(known.forms),
        "bases": [
            {"key": basis.key, "title": basis.title, "factor": basis.factor}
            for basis in known.bases
        ],
        "usual_unit": dict(known.usual_unit),
        "choices": list(known.choices),
        "possible": _ends(known.possible),
        "usual": {material: _ends(ends) for material, ends in known.usual.items()},
        "words": [list(words) for words in known.words],
    }


def list_document(titles: Sequence[SetTitle]) -> dict[str, Any]:
    """Return the list of limit sets as a JSON document.

    Parameters
    ----------
    titles : sequence of SetTitle
        The sets.
    """
    return {
        "schema": "chemcheck/limits/1",
        "version": __version__,
        "assumptions": [],
        "cautions": [],
        "sets": [
            {
                "id": one.id,
                "version": one.version,
                "title": one.title,
                "use": one.use,
                "material": one.material,
                "technologies": sorted(one.technologies),
                "glycols": sorted(one.glycols),
            }
            for one in titles
        ],
    }


def set_document(limit_set: LimitSet) -> dict[str, Any]:
    """Return a limit set as a JSON document.

    Parameters
    ----------
    limit_set : LimitSet
        Any set.

    Examples
    --------
    >>> from chemcheck.limit_library import load_set
    >>> document = set_document(load_set("fill_water_default"))
    >>> [bound["value"] for bound in document["bounds"] if bound["analyte"] == "chloride"]
    [40.0]
    """
    return {
        "schema": "chemcheck/limits/1",
        "version": __version__,
        "limit_sets": [
            {"id": limit_set.id, "version": limit_set.version, "sha256": limit_set.sha256}
        ],
        "assumptions": [],
        "cautions": [
            {"key": key, "text": text} for key in limit_set.cautions for text in cautions([key])
        ],
        "title": limit_set.title,
        "use": limit_set.use,
        "material": limit_set.material,
        "technologies": sorted(limit_set.technologies),
        "glycols": sorted(limit_set.glycols),
        "essential": list(limit_set.essential),
        "partial": limit_set.partial,
        "note": limit_set.note,
        "bounds": [_bound(limit, bound) for limit in limit_set.limits for bound in limit.bounds],
        "rules": [
            {
                "id": rule.id,
                "title": rule.title,
                "kind": rule.kind,
                "requirement": requirement_words(rule.requirement),
                "consequence": rule.consequence,
                "source": rule.source,
                "evidence": rule.evidence,
            }
            for rule in limit_set.rules
        ],
    }


def _bound(limit: AnalyteLimit, bound: Bound) -> dict[str, Any]:
    return {
        "analyte": limit.analyte,
        "basis": limit.basis,
        "side": bound.side,
        "kind": bound.kind,
        "value": bound.value,
        "unit": "fraction of the fresh fill" if bound.of_fresh else analyte(limit.analyte).unit,
        "quoted": bound.quoted,
        "spread": bound.spread,
        "technologies": sorted(limit.technologies),
        "glycols": sorted(limit.glycols),
        "consequence": bound.consequence,
        "source": bound.source,
        "evidence": bound.evidence,
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
