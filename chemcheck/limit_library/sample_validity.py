"""Rules that say which samples do not show what is in a circuit."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal, cast

from chemcheck.analytes import plain_words
from chemcheck.errors import UnitError
from chemcheck.limit_library.folder import limit_folder
from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.records import Evidence
from chemcheck.limit_library.settings import read_check_file, read_evidence
from chemcheck.units import linear_map

Then = Literal["not representative", "question"]
# What a rule may look at, and the unit that its numbers are brought to.
FACT_UNITS = {
    "sampling_point": None,
    "ran_hot": None,
    "container": None,
    "hours_since_top_up": "h",
    "days_to_laboratory": "d",
}
_KEYS = ("fact", "words", "below", "above", "unit", "then", "says", "source", "evidence")


@dataclass(frozen=True, slots=True)
class ValidityRule:
    """One reason to doubt a sample.

    Parameters
    ----------
    key : str
        Its name in the file.
    fact : str
        What it looks at, one of ``FACT_UNITS``.
    words : tuple of (tuple of str)
        Phrases, each as its plain words; empty for a rule on a number.
    below, above : float or None
        A number below or above this is in doubt [the fact's unit].
    then : {"not representative", "question"}
        What follows.
    says : str
        Why, in words that end a sentence.
    source : str
        Who says so.
    evidence : {"published", "library", "common practice", "memory"}
        How well it is known.
    """

    key: str
    fact: str
    words: tuple[tuple[str, ...], ...]
    below: float | None
    above: float | None
    then: Then
    says: str
    source: str
    evidence: Evidence

    def matches(self, text: str) -> bool:
        """Return whether one of the rule's phrases stands in a text.

        Examples
        --------
        >>> validity_rules()[0].matches("left overflow bottle")
        True
        """
        found = plain_words(text)
        return any(
            found[k : k + len(phrase)] == phrase
            for phrase in self.words
            for k in range(len(found) - len(phrase) + 1)
        )


@cache
def validity_rules() -> tuple[ValidityRule, ...]:
    """Return the library's rules.

    Raises
    ------
    LimitFileError
        If the file is damaged.

    Examples
    --------
    >>> [rule.key for rule in validity_rules()][:2]
    ['overflow_bottle', 'drain']
    """
    return read_validity_rules(limit_folder() / "checks" / "sample_validity.yaml")


def read_validity_rules(path: Path) -> tuple[ValidityRule, ...]:
    """Read a file of rules.

    Parameters
    ----------
    path : Path
        A YAML file as ``limits/checks/sample_validity.yaml``.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    values = read_check_file(path).mapping()["values"].mapping()
    return tuple(_rule(key, node) for key, node in values.items())


def _rule(key: str, node: Located) -> ValidityRule:
    fields = node.fields(_KEYS, ("fact", "then", "says", "source", "evidence"))
    fact = fields["fact"].one_of(FACT_UNITS, "fact of a sample")
    unit = FACT_UNITS[fact]
    if unit is None and ("words" not in fields or "below" in fields or "above" in fields):
        node.refuse(f"a rule on {fact} looks for words; add `words:` alone")
    if unit is not None and ("words" in fields or ("below" in fields) == ("above" in fields)):
        node.refuse(f"a rule on {fact} compares a number; add `below:` or `above:`")
    return ValidityRule(
        key=key,
        fact=fact,
        words=tuple(
            plain_words(entry.text())
            for entry in (fields["words"].entries() if "words" in fields else ())
        ),
        below=_number(fields, "below", unit),
        above=_number(fields, "above", unit),
        then=cast(Then, fields["then"].one_of(("not representative", "question"), "consequence")),
        says=fields["says"].text(),
        source=fields["source"].text(),
        evidence=read_evidence(fields["evidence"]),
    )


def _number(fields: Mapping[str, Located], name: str, unit: str | None) -> float | None:
    if name not in fields or unit is None:
        return None
    if "unit" not in fields:
        fields[name].refuse(f"has no unit; add `unit:`, such as {unit}")
    try:
        change = linear_map(fields["unit"].text(), unit)
    except UnitError as error:
        raise fields["unit"].error(str(error)) from None
    return float(change(fields[name].number()))
