"""How new coolant is held against the fleet's reference."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from chemcheck.analytes import vocabulary
from chemcheck.limit_library.find import set_ids
from chemcheck.limit_library.folder import limit_folder
from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.settings import (
    Setting,
    read_check_file,
    read_evidence,
    read_settings,
)

# What is asked of new coolant, in the order in which it is said.
ASPECTS = ("identity", "strength", "contamination")
KINDS = ("concentrate", "premix")
_KEYS = ("version", "values", "sets", "absent_below", *ASPECTS)
_ABSENT = ("source", "evidence", "amounts")


@dataclass(frozen=True, slots=True)
class ReceivedGoodsRules:
    """What the file says.

    Parameters
    ----------
    concentrate_from : Setting
        From so much glycol on a tank holds concentrate [vol%].
    sets : mapping of str to (mapping of str to str)
        By kind of goods, and by technology or glycol: the set for new coolant.
    absent_below : mapping of str to float
        By analyte, the amount that counts as none [canonical unit].
    aspects : mapping of str to (frozenset of str)
        By what is asked, the analytes and rules that answer it.
    """

    concentrate_from: Setting
    sets: Mapping[str, Mapping[str, str]]
    absent_below: Mapping[str, float]
    aspects: Mapping[str, frozenset[str]]


@cache
def received_goods_rules() -> ReceivedGoodsRules:
    """Return the library's rules.

    Raises
    ------
    LimitFileError
        If their file is damaged.

    Examples
    --------
    >>> rules = received_goods_rules()
    >>> rules.sets["premix"]["ethylene_glycol"], rules.absent_below["silicon"]
    ('new_prediluted_ethylene_glycol', 10.0)
    """
    return read_received_goods_rules(limit_folder() / "checks" / "received_goods.yaml")


def read_received_goods_rules(path: Path) -> ReceivedGoodsRules:
    """Read rules from a file.

    Parameters
    ----------
    path : Path
        A YAML file as ``limits/checks/received_goods.yaml``.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    fields = read_check_file(path).fields(_KEYS, _KEYS)
    kinds = fields["sets"].fields(KINDS, KINDS)
    values = read_settings(fields["values"])
    if "concentrate_from" not in values:
        fields["values"].refuse("the key 'concentrate_from' is missing")
    return ReceivedGoodsRules(
        concentrate_from=values["concentrate_from"],
        sets=MappingProxyType({kind: _sets(kinds[kind]) for kind in KINDS}),
        absent_below=_amounts(fields["absent_below"]),
        aspects=MappingProxyType(
            {name: frozenset(one.text() for one in fields[name].entries()) for name in ASPECTS}
        ),
    )


def _sets(node: Located) -> Mapping[str, str]:
    known = set_ids()
    return MappingProxyType(
        {key: entry.one_of(known, "limit set") for key, entry in node.mapping().items()}
    )


def _amounts(node: Located) -> Mapping[str, float]:
    """Read what counts as absent, once it says who says so."""
    fields = node.fields(_ABSENT, _ABSENT)
    fields["source"].text()
    read_evidence(fields["evidence"])
    known = vocabulary()
    amounts = {}
    for key, entry in fields["amounts"].mapping().items():
        if key not in known:
            entry.refuse(f"{key!r} is no analyte known here")
        amounts[key] = entry.number()
    return MappingProxyType(amounts)
