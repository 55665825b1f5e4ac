"""Features of fault signatures, read from their file with the place of every mistake."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from chemcheck.analytes import vocabulary
from chemcheck.errors import not_one_of
from chemcheck.limit_library.cause_records import (
    DERIVED,
    MOST_OF_SEVERAL,
    MOST_WEIGHT,
    TAP_WATER,
    Against,
    Feature,
    Look,
)
from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.provenance import Density
from chemcheck.limit_library.scale import read_analyte, read_scale
from chemcheck.limit_library.technologies import technologies

# One of these says what a feature looks at.
_LOOKS = ("rises", "falls", "times", "above", "below", "seen", "ratio_to", "steady")
# What can be held against tap water.
_OF_TAP_WATER = ("rises", "above", "below", "ratio_to")
_KEYS = (
    "of",
    *_LOOKS,
    "between",
    "unit",
    "form",
    "weight",
    "against",
    "key",
    "held_against",
    "once",
    "technologies",
)


def read_feature(node: Located, density: Density | None) -> Feature:
    """Read one feature.

    Parameters
    ----------
    node : Located
        A mapping with ``of``, one of ``rises``, ``falls``, ``times``, ``above``, ``below``,
        ``steady``, ``seen`` and ``ratio_to``, and ``weight``.
    density : Density or None
        For amounts by mass.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    fields = node.fields(_KEYS, ("of", "weight"))
    looks = [key for key in _LOOKS if key in fields]
    if len(looks) != 1:
        node.refuse(f"expected one of {', '.join(_LOOKS)}, found {len(looks)}")
    of = fields["of"].text()
    if of not in DERIVED:
        read_analyte(of, fields["of"])
    read = {
        "rises": _amount,
        "falls": _amount,
        "times": _times,
        "above": _level,
        "below": _level,
        "steady": _steady,
        "seen": _seen,
        "ratio_to": _ratio,
    }[looks[0]]
    held_against = _held_against(fields)
    if held_against == TAP_WATER and (of in DERIVED or looks[0] not in _OF_TAP_WATER):
        fields["held_against"].refuse(f"only {', '.join(_OF_TAP_WATER)} can be held against it")
    shape = read(of, looks[0], fields, density, node)
    return Feature(
        of=of,
        look=shape.look,
        up=shape.up,
        knots=shape.knots,
        band=shape.band,
        to=shape.to,
        quoted=shape.quoted,
        weight=_weight(fields["weight"], of),
        against=_weight(fields["against"], of) if "against" in fields else 0.0,
        key=_yes(fields, "key"),
        held_against=held_against,
        once=fields["once"].text() if "once" in fields else "",
        technologies=read_technologies(fields),
    )


def read_technologies(fields: Mapping[str, Located]) -> frozenset[str]:
    """Return the technologies a field names; none where it is not there."""
    if "technologies" not in fields:
        return frozenset()
    return frozenset(
        entry.one_of(technologies(), "technology") for entry in fields["technologies"].entries()
    )


def knots_of(least: float) -> tuple[float, float, float]:
    """Return where there is no move, where one as likely comes from a cause, and its least size.

    Examples
    --------
    >>> knots_of(50.0)
    (0.0, 25.0, 50.0)
    """
    return 0.0, least / 2, least


@dataclass(frozen=True, slots=True)
class _Shape:
    """What a feature looks at, as in `Feature`."""

    look: Look
    up: bool
    knots: tuple[float, float, float]
    quoted: tuple[float, float]
    band: tuple[float, float] | None = None
    to: str | None = None


def _amount(
    of: str, look: str, fields: Mapping[str, Located], density: Density | None, node: Located
) -> _Shape:
    """Read an amount that a reading rises or falls by: a range of sizes."""
    if of in DERIVED:
        fields[look].refuse(f"{of} has no reference: write `above` or `below`")
    scale = read_scale(vocabulary()[of], fields, density, node)
    low, high = (scale.size(entry) for entry in _pair(fields[look]))
    if not 0 < low <= high:
        fields[look].refuse(f"expected two sizes above 0 in order, found {low:g} and {high:g}")
    return _Shape("rise", look == "rises", knots_of(low), (low, high))


def _steady(
    of: str, look: str, fields: Mapping[str, Located], density: Density | None, node: Located
) -> _Shape:
    """Read an amount that a reading does not rise by: the rises of an amount, turned round."""
    rises = _amount(of, "rises", {**fields, "rises": fields[look]}, density, node)
    none, turns, full = knots_of(_least(fields[look], of, fields, density, node))
    return replace(rises, up=False, knots=(-full, -turns, -none))


def _times(
    of: str, look: str, fields: Mapping[str, Located], density: Density | None, node: Located
) -> _Shape:
    """Read a factor that a reading is multiplied by, above 1 or below."""
    del density, node
    low, high = (entry.number() for entry in _pair(fields[look]))
    if not (0 < low <= high < 1 or 1 < low <= high):
        fields[look].refuse(
            f"expected two factors in order, both below 1 or both above, found {low:g} and {high:g}"
        )
    least = min(abs(math.log(low)), abs(math.log(high)))
    return _Shape("factor", low > 1, knots_of(least), (low, high))


def _level(
    of: str, look: str, fields: Mapping[str, Located], density: Density | None, node: Located
) -> _Shape:
    """Read a level: where it begins to speak for the cause, and where it does in full."""
    pair = _pair(fields[look])
    if of in DERIVED:
        turns, full = (entry.number() for entry in pair)
    else:
        scale = read_scale(vocabulary()[of], fields, density, node)
        turns, full = (scale.value(entry) for entry in pair)
    up = look == "above"
    if (full > turns) != up or full == turns:
        way = "greater" if up else "less"
        fields[look].refuse(f"expected the second number {way} than the first")
    sign = 1.0 if up else -1.0
    knots = (sign * turns - abs(full - turns), sign * turns, sign * full)
    return _Shape("level", up, knots, (turns, full))


def _seen(
    of: str, look: str, fields: Mapping[str, Located], density: Density | None, node: Located
) -> _Shape:
    """Read a word of an ordered list: it and worse ones speak for the cause."""
    del density
    if of in DERIVED or not vocabulary()[of].words:
        fields[look].refuse(f"{of} is no list of ordered words")
    rank = read_scale(vocabulary()[of], fields, None, node).value(fields[look])
    if rank < 1:
        fields[look].refuse("expected a word worse than the first of the list")
    return _Shape("level", True, (rank - 1.0, rank - 0.5, rank), (rank, rank))


def _ratio(
    of: str, look: str, fields: Mapping[str, Located], density: Density | None, node: Located
) -> _Shape:
    """Read the quotient of two rises, as the range that speaks for the cause."""
    del density
    to = fields[look].text()
    if of in DERIVED or to in DERIVED:
        fields[look].refuse("a ratio is of two analytes")
    read_analyte(to, fields[look])
    if _held_against(fields) == TAP_WATER:
        if "between" in fields:
            fields["between"].refuse("a ratio held against tap water is expected to be its own")
        return _Shape("ratio", True, (0.0, 0.0, 0.0), (0.0, 0.0), to=to)
    if "between" not in fields:
        node.refuse("the key 'between' is missing")
    low, high = (entry.number() for entry in _pair(fields["between"]))
    if not 0 < low < high:
        fields["between"].refuse("expected two numbers above 0 in order")
    return _Shape("ratio", True, (0.0, 0.0, 0.0), (low, high), band=(low, high), to=to)


def _least(
    pair: Located, of: str, fields: Mapping[str, Located], density: Density | None, node: Located
) -> float:
    return read_scale(vocabulary()[of], fields, density, node).size(_pair(pair)[0])


def _pair(node: Located) -> tuple[Located, Located]:
    entries = node.entries()
    if len(entries) != 2:
        node.refuse(f"expected two numbers, found {len(entries)}")
    return entries[0], entries[1]


def _weight(node: Located, of: str) -> float:
    most = MOST_OF_SEVERAL if of in DERIVED else MOST_WEIGHT
    value = node.number()
    if not 0 <= value <= most:
        node.refuse(f"expected a weight from 0 to {most:g}, found {value:g}")
    return value


def _yes(fields: Mapping[str, Located], name: str) -> bool:
    return name in fields and fields[name].one_of(("yes", "no"), "answer") == "yes"


def _held_against(fields: Mapping[str, Located]) -> Against:
    if "held_against" not in fields:
        return "reference"
    options: tuple[Against, ...] = ("reference", "previous", TAP_WATER)
    text = fields["held_against"].text()
    for option in options:
        if text == option:
            return option
    raise fields["held_against"].error(not_one_of(text, options, "reference"))
