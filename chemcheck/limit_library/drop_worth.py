"""What a drop of a kit's titrant is worth, read from a method's file."""

from collections.abc import Mapping

from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.provenance import Density, Provenance
from chemcheck.limit_library.records import DropWorth
from chemcheck.limit_library.scale import UNIT_KEYS, read_analyte, read_scale

_KEYS = (*UNIT_KEYS, "value", "range", "source", "evidence")


def read_drop_worths(node: Located | None, above: Provenance) -> Mapping[str, DropWorth]:
    """Read what a drop is worth, by analyte.

    Parameters
    ----------
    node : Located or None
        The mapping of analytes; None where the method counts no drops.
    above : Provenance
        Of the numbers that state none.

    Raises
    ------
    LimitFileError
        Where a number is missing, is not above zero, or a range runs backwards.
    """
    found = {}
    for key, entry in node.mapping().items() if node is not None else ():
        fields = entry.fields(_KEYS)
        here = above.below(fields)
        source, evidence = here.sourced(entry)
        low, high = _ends(entry, fields, key, here.density)
        found[key] = DropWorth(low, high, source, evidence)
    return found


def _ends(
    entry: Located, fields: Mapping[str, Located], key: str, density: Density | None
) -> tuple[float, float]:
    if ("value" in fields) == ("range" in fields):
        entry.refuse("expected one of the keys 'value' and 'range'")
    numbers = fields["range"].entries() if "range" in fields else (fields["value"],) * 2
    scale = read_scale(read_analyte(key, entry), fields, density, entry)
    ends = tuple(scale.size(number) for number in numbers)
    if len(ends) != 2 or not 0 < ends[0] <= ends[1]:
        entry.refuse("expected what one drop is worth: above zero, the least first")
    return ends[0], ends[1]
