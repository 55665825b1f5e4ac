"""Where the numbers of a file come from: source and evidence, inherited from the level above.

No number stands without both. The density that turns a share by mass into a concentration
is such a number too, and is named in the source of every bound that it converted.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

from chemcheck.errors import UnitError
from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.records import EVIDENCE, Evidence
from chemcheck.units import linear_map

PROVENANCE_KEYS = ("consequence", "source", "evidence", "density")


@dataclass(frozen=True, slots=True)
class Density:
    """What one litre of the sample weighs, for bounds given by mass.

    Parameters
    ----------
    value : float
        The density [kg/L].
    words : str
        How it is named in the source of a converted bound.
    """

    value: float
    words: str


@dataclass(frozen=True, slots=True)
class Provenance:
    """What a level of a file says of the numbers below it; empty where it says nothing.

    Parameters
    ----------
    consequence, source : str
        As for a bound.
    evidence : str
        One of ``EVIDENCE``, or empty.
    density : Density or None
        As stated nearest to the number.
    """

    consequence: str = ""
    source: str = ""
    evidence: str = ""
    density: Density | None = None

    def below(self, fields: Mapping[str, Located]) -> "Provenance":
        """Return what holds below a level that may state some of it anew."""
        evidence = self.evidence
        if "evidence" in fields:
            evidence = fields["evidence"].one_of(EVIDENCE, "evidence")
        return Provenance(
            consequence=fields["consequence"].text()
            if "consequence" in fields
            else self.consequence,
            source=fields["source"].text() if "source" in fields else self.source,
            evidence=evidence,
            density=read_density(fields["density"]) if "density" in fields else self.density,
        )

    def sourced(self, at: Located) -> tuple[str, Evidence]:
        """Return source and evidence, or say that the number at a place has none."""
        if not self.source:
            at.refuse("has no source; add `source:` beside it or above it")
        if not self.evidence:
            at.refuse(f"has no evidence; add `evidence:`, one of: {', '.join(EVIDENCE)}")
        return self.source, cast(Evidence, self.evidence)


def read_density(node: Located) -> Density:
    """Read the density of what the file's bounds by mass hold for."""
    fields = node.fields(("value", "unit", "source", "evidence"), ("value", "unit"))
    try:
        to_kg_per_litre = linear_map(fields["unit"].text(), "kg/L")
    except UnitError as error:
        raise fields["unit"].error(str(error)) from None
    value = float(to_kg_per_litre(fields["value"].number()))
    if not 0.5 < value < 2:
        problem = f"{value:g} kg/L is not the density of a water or coolant"
        fields["value"].refuse(problem)
    source, evidence = Provenance().below(fields).sourced(fields["value"])
    return Density(value, f"mg/kg turned into mg/L with {value:g} kg/L ({source}; {evidence})")
