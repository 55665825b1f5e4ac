"""Read the vocabulary's files into records."""

from collections.abc import Callable, Iterable, Mapping
from functools import cache, partial
from pathlib import Path
from types import MappingProxyType
from typing import Any

from chemcheck.analytes.formulas import molar_mass
from chemcheck.analytes.record import MATERIALS, Analyte, Basis
from chemcheck.analytes.spelling import plain_name
from chemcheck.errors import LimitFileError, UnitError, not_one_of
from chemcheck.units import parse_unit, read_yaml
from chemcheck.units.unit_file import plain_spelling

VOCABULARY_FOLDER = Path(__file__).with_name("vocabulary")

_FIELDS = frozenset(
    {"title", "unit", "formula", "moles", "charge", "equivalents", "formula_is_name"}
    | {"aliases", "forms", "split_names", "bases", "unit_aliases", "usual_unit"}
    | {"choices", "possible", "usual", "words"}
)
_FORM_FIELDS = frozenset({"moles", "names", "words"})
_BASIS_FIELDS = frozenset({"title", "factor", "unit", "words"})


@cache
def vocabulary() -> Mapping[str, Analyte]:
    """Return all analytes by their keys, in the vocabulary's order.

    Examples
    --------
    >>> vocabulary()["nitrite"].unit, round(vocabulary()["nitrite"].forms["N"], 4)
    ('mg/L', 3.2844)
    """
    return MappingProxyType(load_vocabulary(sorted(VOCABULARY_FOLDER.glob("*.yaml"))))


def load_vocabulary(paths: Iterable[Path]) -> dict[str, Analyte]:
    """Read vocabulary files.

    Parameters
    ----------
    paths : iterable of Path
        The files.

    Returns
    -------
    dict of str to Analyte
        By key.

    Raises
    ------
    LimitFileError
        With file and key, where an entry is wrong, or a name or key stands for two analytes.
    """
    analytes: dict[str, Analyte] = {}
    claimed: dict[str, str] = {}
    for path in paths:
        for key, entry in read_yaml(path).items():
            if key in analytes:
                raise LimitFileError(str(path), None, key, "this analyte is defined already")
            analytes[key] = _Entry(path, key, entry).analyte()
            for name in (key, *analytes[key].aliases):
                owner = claimed.setdefault(plain_name(name), key)
                if owner != key:
                    problem = f"the name {name!r} is {owner}'s already"
                    raise LimitFileError(str(path), None, key, problem)
    return analytes


class _Entry:
    """One analyte's entry in a file, read field by field."""

    def __init__(self, path: Path, key: str, entry: Any) -> None:
        self.path, self.key = path, key
        if not isinstance(entry, dict):
            problem = "expected a mapping of fields"
            raise self.wrong(None, problem)
        self.entry: dict[str, Any] = entry
        self.only(entry, _FIELDS, None)

    def wrong(self, field: str | None, problem: str) -> LimitFileError:
        place = f"{self.key}.{field}" if field else self.key
        return LimitFileError(str(self.path), None, place, problem)

    def only(self, mapping: Mapping[str, Any], fields: frozenset[str], place: str | None) -> None:
        for name in mapping:
            if name not in fields:
                raise self.wrong(place, not_one_of(str(name), fields, "field"))

    def needed(self, details: Mapping[str, Any], name: str, place: str) -> Any:
        if name not in details:
            raise self.wrong(place, f"{name} is missing")
        return details[name]

    def checked(self, field: str, make: Callable[[], Any]) -> Any:
        """Do one step, and name the field if its text is wrong."""
        try:
            return make()
        except UnitError as error:
            raise self.wrong(field, str(error)) from None

    def analyte(self) -> Analyte:
        entry = self.entry
        formula = entry.get("formula")
        unit = self.checked("unit", lambda: parse_unit(entry.get("unit", "mg/L")))
        charge = entry.get("charge")
        equivalents = entry.get("equivalents", None if charge is None else abs(charge))
        mass = None
        if formula is not None:
            mass = self.checked("formula", lambda: molar_mass(formula)) * entry.get("moles", 1)
        form_words, form_names = self.form_spellings()
        split_names = {
            plain_name(name): tuple(forms) for name, forms in entry.get("split_names", {}).items()
        }
        return Analyte(
            key=self.key,
            title=self.text("title"),
            unit=unit.symbol,
            dimension=unit.dimension,
            aliases=self.aliases(),
            molar_mass=mass,
            charge=charge,
            forms=self.forms(mass, equivalents),
            bases=self.bases(),
            usual_unit=self.by_material("usual_unit"),
            choices=self.texts(entry.get("choices", ()), "choices"),
            possible=self.pair(entry.get("possible", (0.0, float("inf"))), "possible"),
            usual={
                material: self.pair(ends, f"usual.{material}")
                for material, ends in self.by_material("usual").items()
            },
            words=tuple(self.texts(words, "words") for words in entry.get("words", ())),
            formula=formula,
            equivalents=equivalents,
            form_words=form_words,
            form_names=form_names,
            split_names=split_names,
            unit_aliases={
                plain_spelling(spelling).casefold(): target
                for spelling, target in entry.get("unit_aliases", {}).items()
            },
        )

    def text(self, field: str) -> str:
        value = self.entry.get(field)
        if not isinstance(value, str):
            raise self.wrong(field, f"expected a text, found {value!r}")
        return value

    def texts(self, values: Any, field: str) -> tuple[str, ...]:
        # A bare no or yes is a truth value in YAML, a bare 50 a number.
        for value in values:
            if not isinstance(value, str):
                raise self.wrong(field, f"{value!r} is no text here; write it in quotes")
        return tuple(values)

    def pair(self, values: Any, field: str) -> tuple[float, float]:
        try:
            low, high = (float(value) for value in values)
        except (TypeError, ValueError):
            problem = f"expected [lowest, highest], found {values!r}"
            raise self.wrong(field, problem) from None
        if not low < high:
            raise self.wrong(field, f"expected the lower number first, found {values!r}")
        return low, high

    def by_material(self, field: str) -> dict[str, Any]:
        values: dict[str, Any] = self.entry.get(field, {})
        self.only(values, frozenset(MATERIALS), field)
        return dict(values)

    def aliases(self) -> tuple[str, ...]:
        """Return every name: those listed, those of forms, the title and the formula."""
        entry = self.entry
        names = [*self.texts(entry.get("aliases", ()), "aliases"), *entry.get("split_names", {})]
        for form, details in entry.get("forms", {}).items():
            names += self.texts(details.get("names", ()), f"forms.{form}")
        formula, charge = entry.get("formula"), entry.get("charge")
        if formula and entry.get("formula_is_name", "equivalents" not in entry):
            names.append(formula)
            if charge and abs(charge) > 1:
                names.append(f"{formula} {abs(charge)}{'+' if charge > 0 else '-'}")
        names.append(entry.get("title", ""))
        unique = {plain_name(name): name for name in reversed(names)}
        return tuple(reversed(list(unique.values())))

    def form_spellings(self) -> tuple[dict[str, str], dict[str, str]]:
        words: dict[str, str] = {}
        names: dict[str, str] = {}
        for form, details in self.entry.get("forms", {}).items():
            self.only(details, _FORM_FIELDS, f"forms.{form}")
            words |= {plain_name(word): form for word in details.get("words", ())}
            names |= {plain_name(name): form for name in details.get("names", ())}
        return words, names

    def forms(self, mass: float | None, equivalents: int | None) -> dict[str, float]:
        """Return the factor of each form to the analyte's own formula."""
        if mass is None:
            return {}
        formula = self.entry["formula"]
        factors = {formula: 1.0}
        if equivalents:
            # Water treatment writes any ion as the CaCO3 of its equivalents.
            factors.setdefault("CaCO3", mass / equivalents * 2 / molar_mass("CaCO3"))
        for form, details in self.entry.get("forms", {}).items():
            of_form = self.checked(f"forms.{form}", partial(molar_mass, form))
            factors[form] = self.needed(details, "moles", f"forms.{form}") * mass / of_form
        return factors

    def bases(self) -> tuple[Basis, ...]:
        made: list[Basis] = []
        for key, details in self.entry.get("bases", {}).items():
            place = f"bases.{key}"
            self.only(details, _BASIS_FIELDS, place)
            words = self.texts(details.get("words", ()), place)
            basis = Basis(
                key=key,
                title=self.needed(details, "title", place),
                factor=details.get("factor") if made else 1.0,
                unit=details.get("unit"),
                words=tuple(dict.fromkeys(plain_name(word) for word in (key, *words))),
            )
            made.append(basis)
        return tuple(made)
