"""What time alone does to a sound coolant, so that no cause is sought for it."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.scale import read_analyte
from chemcheck.limit_library.settings import check_file_node


@dataclass(frozen=True, slots=True)
class Ageing:
    """The part ``ageing`` of ``limits/checks/causes.yaml``.

    Parameters
    ----------
    keeps : mapping of str to float
        By analyte, the share of the fresh fill that is left after a whole life.
    may_hold : mapping of str to float
        What a sound coolant may come to hold [canonical unit].
    may_gain, may_fall : mapping of str to float
        What it may gain, and by how much it may fall [canonical unit].
    life : mapping of str to float
        How long a life is [d, h, km].
    """

    keeps: Mapping[str, float]
    may_hold: Mapping[str, float]
    may_gain: Mapping[str, float]
    may_fall: Mapping[str, float]
    life: Mapping[str, float]

    def of(self, analyte: str) -> bool:
        """Return whether time alone moves an analyte.

        Examples
        --------
        >>> ageing().of("nitrite"), ageing().of("potassium")
        (True, False)
        """
        return any(
            analyte in part for part in (self.keeps, self.may_hold, self.may_gain, self.may_fall)
        )


@cache
def ageing() -> Ageing:
    """Return what time alone does to a coolant.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.

    Examples
    --------
    >>> ageing().keeps["reserve_alkalinity"]
    0.5
    """
    parts = ("keeps", "may_hold", "may_gain", "may_fall")
    names = (*parts, "life", "source", "evidence")
    fields = check_file_node("causes").mapping()["ageing"].fields(names, names)
    by_analyte = {name: _numbers(fields[name], analytes=True) for name in parts}
    for key, share in by_analyte["keeps"].items():
        if not 0 < share <= 1:
            fields["keeps"].mapping()[key].refuse(f"{share:g} is no share; write 0.5 for half")
    return Ageing(**by_analyte, life=_numbers(fields["life"], analytes=False))


def _numbers(node: Located, *, analytes: bool) -> Mapping[str, float]:
    found = {}
    for key, entry in node.mapping().items():
        found[read_analyte(key, entry).key if analytes else key] = entry.number()
    return MappingProxyType(found)
