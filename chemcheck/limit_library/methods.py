"""Ways of measuring: how uncertain each is, what it cannot see, the steps of a strip.

A precision is stated in the form its source uses, and turned here into a standard
uncertainty:

=========================  ========================================================
``standard_uncertainty``   as it stands
``reproducibility``        between laboratories, R: divided by 2.8 [1]_
``repeatability``          by one operator, r: divided by 2.8 [1]_
``half_width``             certain limits either side of the value: divided by √3 [2]_
``expanded``               a 95 % interval either side of the value: divided by 2 [3]_
=========================  ========================================================

References
----------
.. [1] ASTM E177, convention of the 95 % limits r and R: 2.8 standard deviations (memory).
.. [2] JCGM 100:2008, 4.3.7: rectangular distribution.
.. [3] JCGM 100:2008, 6.3.3: coverage factor 2.
"""

from collections.abc import Mapping
from functools import cache
from itertools import pairwise
from math import hypot, sqrt
from pathlib import Path
from types import MappingProxyType
from typing import Literal, cast

from chemcheck.limit_library.drop_worth import read_drop_worths
from chemcheck.limit_library.folder import limit_folder
from chemcheck.limit_library.located_yaml import Located, read_yaml
from chemcheck.limit_library.provenance import Density, Provenance
from chemcheck.limit_library.records import Method, MethodPrecision
from chemcheck.limit_library.scale import UNIT_KEYS, read_analyte, read_scale

# Of all analytes that a method does not name.
DEFAULT = "default"

_STATED_AS = {
    "standard_uncertainty": 1.0,
    "reproducibility": 2.8,
    "repeatability": 2.8,
    "half_width": sqrt(3),
    "expanded": 2.0,
}
_PARTS = ("absolute", "relative")
_KINDS = ("laboratory", "meter", "strip", "kit", "inspection")
_PRECISION_KEYS = (*_STATED_AS, *UNIT_KEYS, "detection_limit", "source", "evidence")
_STEP_KEYS = (*UNIT_KEYS, "pads", "doubling")
_METHOD_KEYS = (
    "id",
    "title",
    "kind",
    "material",
    "default_for",
    "aliases",
    "source",
    "evidence",
    "density",
    "precision",
    "steps",
    "per_drop",
)
_STEP_SOURCE = "the step between two pads is the uncertainty of a strip"


@cache
def methods() -> Mapping[str, Method]:
    """Return the library's methods by their id.

    Raises
    ------
    LimitFileError
        If a file of the library is damaged.

    Examples
    --------
    >>> methods()["refractometer"].kind
    'meter'
    """
    found = {method.id: method for method, _ in _all_files()}
    return MappingProxyType(found)


@cache
def default_method(material: str) -> Method:
    """Return the method of a reading of which nobody says how it was measured.

    Parameters
    ----------
    material : {"water", "coolant"}
        What was sampled.

    Raises
    ------
    KeyError
        If there is no default for the material.

    Examples
    --------
    >>> default_method("water").id
    'laboratory_water'
    """
    return {made_for: method for method, made_for in _all_files() if made_for}[material]


def find_method(name: str, material: str | None = None) -> Method | None:
    """Return the method that a text in a method column names.

    Parameters
    ----------
    name : str
        An id or alias; case, spaces and punctuation do not count.
    material : {"water", "coolant"} or None
        Where the same name is used for both: what was sampled.

    Returns
    -------
    Method or None
        None where the text names none, or names one for each material and the material
        is not known.

    Examples
    --------
    >>> find_method("Test strip", "coolant").id
    'strip_coolant'
    >>> find_method("test strip") is None
    True
    """
    wanted = _plain(name)
    found = [
        method
        for method in methods().values()
        if wanted in {_plain(alias) for alias in (method.id, *method.aliases)}
        and material in (None, method.material or material)
    ]
    return found[0] if len(found) == 1 else None


def precision_of(method: Method, analyte: str) -> MethodPrecision:
    """Return how uncertain an analyte is by a method.

    Parameters
    ----------
    method : Method
        One of `methods`.
    analyte : str
        A key of the vocabulary.

    Returns
    -------
    MethodPrecision
        Stated for the analyte; else nothing for the pads of a strip, whose step is the
        uncertainty already; else the method's default.

    Examples
    --------
    >>> strip = methods()["strip_coolant"]
    >>> precision_of(strip, "nitrite").relative, precision_of(strip, "zinc").relative
    (0.0, 0.25)
    """
    stated = method.precision.get(analyte)
    if stated is not None:
        return stated
    if analyte in method.steps:
        return MethodPrecision(0.0, 0.0, None, _STEP_SOURCE, "common practice")
    return method.precision[DEFAULT]


def check_method_file(path: str | Path) -> Method:
    """Check a file of a method, such as a user's own strip chart.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    return _read_method(Path(path))[0]


@cache
def _all_files() -> tuple[tuple[Method, str], ...]:
    return tuple(_read_method(path) for path in sorted((limit_folder() / "methods").glob("*.yaml")))


def _read_method(path: Path) -> tuple[Method, str]:
    """Read a method, and the material that it is the default for."""
    whole, _ = read_yaml(path)
    fields = whole.fields(_METHOD_KEYS, ("id", "title", "kind", "precision"))
    above = Provenance().below(fields)
    source, evidence = above.sourced(whole)
    materials = ("water", "coolant")
    material = fields["material"].one_of(materials, "material") if "material" in fields else None
    default_for = (
        fields["default_for"].one_of(materials, "material") if "default_for" in fields else ""
    )
    precision = {
        key: _read_precision(key, node, above)
        for key, node in fields["precision"].mapping().items()
    }
    if DEFAULT not in precision:
        fields["precision"].refuse(
            "the key 'default' is missing: no reading is without uncertainty"
        )
    steps, doubling = _read_steps(fields.get("steps"), above.density)
    aliases = fields["aliases"].entries() if "aliases" in fields else ()
    method = Method(
        id=fields["id"].text(),
        title=fields["title"].text(),
        kind=cast(
            Literal["laboratory", "meter", "strip", "kit", "inspection"],
            fields["kind"].one_of(_KINDS, "kind"),
        ),
        precision=MappingProxyType(precision),
        steps=MappingProxyType(steps),
        doubling=frozenset(doubling),
        aliases=tuple(alias.text() for alias in aliases),
        material=cast(Literal["water", "coolant"] | None, material),
        source=source,
        evidence=evidence,
        drop_worths=MappingProxyType(read_drop_worths(fields.get("per_drop"), above)),
    )
    return method, default_for


def _read_precision(key: str, node: Located, above: Provenance) -> MethodPrecision:
    """Read the precision of an analyte, or of all that the method does not name."""
    fields = node.fields(_PRECISION_KEYS)
    here = above.below(fields)
    source, evidence = here.sourced(node)
    parts = {part: _parts(fields, part) for part in _PARTS}
    if not any(parts.values()):
        node.refuse("states no uncertainty; no reading is without")
    relative = hypot(*(one.number() / divisor for one, divisor in parts["relative"]))
    if key == DEFAULT:
        if parts["absolute"] or "detection_limit" in fields:
            node.refuse("the default of all analytes has no unit: state only relative numbers")
        return MethodPrecision(0.0, relative, None, source, evidence)
    analyte = read_analyte(key, node)
    if not parts["absolute"] and "detection_limit" not in fields:
        return MethodPrecision(0.0, relative, None, source, evidence)
    scale = read_scale(analyte, fields, here.density, node)
    return MethodPrecision(
        absolute=hypot(*(scale.size(one) / divisor for one, divisor in parts["absolute"])),
        relative=relative,
        detection_limit=(
            scale.size(fields["detection_limit"]) if "detection_limit" in fields else None
        ),
        source=scale.source(source),
        evidence=evidence,
    )


def _parts(fields: Mapping[str, Located], part: str) -> list[tuple[Located, float]]:
    """Return what is stated of the absolute or the relative part, each with its divisor."""
    return [
        (stated[part], divisor)
        for name, divisor in _STATED_AS.items()
        if name in fields
        for stated in (fields[name].fields(_PARTS),)
        if part in stated
    ]


def _read_steps(
    node: Located | None, density: Density | None
) -> tuple[dict[str, tuple[float, ...]], set[str]]:
    """Read the pads of a strip, and which analytes' pads double."""
    steps: dict[str, tuple[float, ...]] = {}
    doubling: set[str] = set()
    for key, entry in node.mapping().items() if node is not None else ():
        fields = entry.fields(_STEP_KEYS, ("pads",))
        analyte = read_analyte(key, entry)
        scale = read_scale(analyte, fields, density, entry)
        pads = tuple(scale.value(pad) for pad in fields["pads"].entries())
        if len(pads) < 2 or any(low >= high for low, high in pairwise(pads)):
            fields["pads"].refuse("expected at least two pads, each greater than the last")
        steps[key] = pads
        if "doubling" in fields and fields["doubling"].one_of(("yes", "no"), "answer") == "yes":
            doubling.add(key)
    return steps, doubling


def _plain(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())
