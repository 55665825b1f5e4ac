"""What fresh fills hold by technology, and what tells technologies apart."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from chemcheck.analytes.record import Analyte
from chemcheck.limit_library.folder import limit_folder
from chemcheck.limit_library.located_yaml import Located, read_yaml
from chemcheck.limit_library.provenance import Provenance
from chemcheck.limit_library.records import Evidence
from chemcheck.limit_library.scale import UNIT_KEYS, read_analyte, read_scale
from chemcheck.limit_library.technologies import technologies

Range = tuple[float, float]


@dataclass(frozen=True, slots=True)
class FreshCoolant:
    """The file of fresh coolants.

    Parameters
    ----------
    every : mapping of str to (float, float)
        By analyte, what every fresh fill of 50 vol% holds [canonical unit].
    ranges : mapping of str to mapping
        The same by technology.
    contradicts, shows : mapping of str to mapping
        By technology and analyte, the range whose readings contradict it, or support it.
    source, evidence : str
        Who says so, and how well it is known.
    """

    every: Mapping[str, Range]
    ranges: Mapping[str, Mapping[str, Range]]
    contradicts: Mapping[str, Mapping[str, Range]]
    shows: Mapping[str, Mapping[str, Range]]
    source: str
    evidence: Evidence

    def of(self, technology: str | None, analyte: str) -> Range | None:
        """Return the range of an analyte in a fresh fill; None where nothing is known.

        Of an unknown technology it is the range of all of them together.

        Examples
        --------
        >>> fresh_coolant().of("heavy_duty_additive", "nitrite")
        (1200.0, 2400.0)
        >>> fresh_coolant().of(None, "nitrite")
        (0.0, 2400.0)
        """
        if analyte in self.every:
            return self.every[analyte]
        if technology is not None:
            return self.ranges.get(technology, {}).get(analyte)
        known = [each[analyte] for each in self.ranges.values() if analyte in each]
        if len(known) < len(self.ranges):
            return None
        return min(low for low, _ in known), max(high for _, high in known)


@cache
def fresh_coolant() -> FreshCoolant:
    """Return what the library knows of fresh coolants.

    Raises
    ------
    LimitFileError
        If the file is damaged.

    Examples
    --------
    >>> fresh_coolant().every["iron"]
    (0.0, 5.0)
    """
    whole, _ = read_yaml(limit_folder() / "fresh_coolant.yaml")
    parts = ("every", "technologies", "contradicts", "shows")
    fields = whole.fields(("version", "source", "evidence", *parts), ("version", *parts))
    source, evidence = Provenance().below(fields).sourced(whole)
    return FreshCoolant(
        every=_ranges(fields["every"]),
        ranges=_by_technology(fields["technologies"]),
        contradicts=_by_technology(fields["contradicts"]),
        shows=_by_technology(fields["shows"]),
        source=source,
        evidence=evidence,
    )


def _by_technology(node: Located) -> Mapping[str, Mapping[str, Range]]:
    found = {}
    for key, entry in node.mapping().items():
        if key not in technologies():
            entry.refuse(f"{key!r} is no technology known here")
        found[key] = _ranges(entry)
    return MappingProxyType(found)


def _ranges(node: Located) -> Mapping[str, Range]:
    found = {}
    for key, entry in node.mapping().items():
        analyte = read_analyte(key, entry)
        fields = entry.fields((*UNIT_KEYS, "between", "above", "below"))
        scale = read_scale(analyte, fields, None, entry)
        looks = [name for name in ("between", "above", "below") if name in fields]
        if len(looks) != 1:
            entry.refuse("expected one of between, above, below")
        found[key] = _range(looks[0], fields[looks[0]], scale.value, analyte)
    return MappingProxyType(found)


def _range(look: str, node: Located, read: Callable[[Located], float], analyte: Analyte) -> Range:
    if look == "between":
        entries = node.entries()
        if len(entries) != 2:
            node.refuse(f"expected two numbers, found {len(entries)}")
        low, high = (read(entry) for entry in entries)
        if low > high:
            node.refuse(f"expected two numbers in order, found {low:g} and {high:g}")
        return low, high
    number = read(node)
    return (number, analyte.possible[1]) if look == "above" else (analyte.possible[0], number)
