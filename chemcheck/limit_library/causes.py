"""The fault signatures of the library, from ``limits/causes``."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

from chemcheck.analytes import vocabulary
from chemcheck.limit_library.cause_features import read_feature, read_technologies
from chemcheck.limit_library.cause_records import DERIVED, Signature
from chemcheck.limit_library.cautions import all_cautions
from chemcheck.limit_library.folder import limit_folder
from chemcheck.limit_library.located_yaml import Located, read_yaml
from chemcheck.limit_library.provenance import Provenance
from chemcheck.limit_library.technologies import GLYCOLS

_FILE_KEYS = ("version", "source", "evidence", "density", "causes")
_REQUIRED = ("title", "features", "looks_like", "confirm_by", "do", "cautions")
_KEYS = (
    *_REQUIRED, "technologies", "glycols", "accounts_for", "speaks_against", "source", "evidence",
)  # fmt: skip


@cache
def signatures() -> Mapping[str, Signature]:
    """Return the library's fault signatures by their key.

    Raises
    ------
    LimitFileError
        If a file of the library is damaged.

    Examples
    --------
    >>> signatures()["combustion_gas_leak"].title
    'combustion gas leaking into the coolant'
    """
    found: dict[str, Signature] = {}
    for path in sorted((limit_folder() / "causes").glob("*.yaml")):
        for signature, node in _of_file(path):
            if signature.key in found:
                node.refuse(f"the cause {signature.key!r} stands in another file too")
            found[signature.key] = signature
    return MappingProxyType(found)


def read_signatures(path: Path) -> tuple[Signature, ...]:
    """Read a file of fault signatures.

    Parameters
    ----------
    path : Path
        A YAML file as those of ``limits/causes``.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    return tuple(signature for signature, _ in _of_file(path))


def _of_file(path: Path) -> list[tuple[Signature, Located]]:
    whole, _ = read_yaml(path)
    fields = whole.fields(_FILE_KEYS, ("version", "causes"))
    fields["version"].text()
    above = Provenance().below(fields)
    return [
        (_signature(key, node, above), node) for key, node in fields["causes"].mapping().items()
    ]


def _signature(key: str, node: Located, above: Provenance) -> Signature:
    fields = node.fields(_KEYS, _REQUIRED)
    here = above.below(fields)
    source, evidence = here.sourced(node)
    features = tuple(read_feature(one, here.density) for one in fields["features"].entries())
    if not any(feature.key for feature in features):
        fields["features"].refuse("none is marked `key: yes`: nothing would bring the cause up")
    return Signature(
        key=key,
        title=fields["title"].text(),
        features=features,
        technologies=read_technologies(fields),
        glycols=frozenset(entry.one_of(GLYCOLS, "glycol") for entry in fields["glycols"].entries())
        if "glycols" in fields
        else frozenset(),
        accounts_for=_accounts_for(fields.get("accounts_for")),
        speaks_against=_texts(fields.get("speaks_against")),
        looks_like=_texts(fields["looks_like"]),
        confirm_by=fields["confirm_by"].text(),
        remedy=fields["do"].text(),
        cautions=tuple(
            entry.one_of(all_cautions(), "caution") for entry in fields["cautions"].entries()
        ),
        source=source,
        evidence=evidence,
    )


def _accounts_for(node: Located | None) -> frozenset[str]:
    known = (*vocabulary(), *DERIVED)
    return frozenset(
        () if node is None else (entry.one_of(known, "analyte") for entry in node.entries())
    )


def _texts(node: Located | None) -> tuple[str, ...]:
    return () if node is None else tuple(entry.text() for entry in node.entries())
