"""What each sample is: water or coolant, of which technology and glycol."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa

from chemcheck.analytes import MATERIALS, plain_name
from chemcheck.errors import UnknownTechnologyError, not_one_of, shorten
from chemcheck.intake.choices import Choices
from chemcheck.intake.column_plan import Column
from chemcheck.intake.table import TextTable
from chemcheck.intake.word_lists import word_list
from chemcheck.limit_library import technologies
from chemcheck.readings.sample_types import BLANK_SAMPLE, NEW_COOLANT

_Codes = npt.NDArray[np.int32]
_SHOWN = 5


@dataclass(frozen=True, slots=True)
class SampleKinds:
    """What each sample of a file is.

    Parameters
    ----------
    material : ndarray of int8, shape (n_samples,)
        Position in `chemcheck.analytes.MATERIALS`.
    columns : dict of str to Series
        ``material``, ``technology``, ``glycol_type`` and ``sample_type`` as text.
    assumptions : list of (str or None, str)
        What was taken for granted.
    not_read : list of str
        Roles of columns with texts that are not known here.
    not_by_refraction : ndarray of bool, shape (n_samples,), or None
        Samples of a technology in which refractive index tells no glycol; None where there
        are none.
    """

    material: npt.NDArray[np.int8]
    columns: dict[str, pd.Series]
    assumptions: list[tuple[str | None, str]]
    not_read: list[str]
    not_by_refraction: npt.NDArray[np.bool_] | None = None


def technology_key(name: str) -> str | None:
    """Return the key of the technology a text names.

    Examples
    --------
    >>> technology_key("Nitrited OAT"), technology_key("green")
    ('nitrited_organic_acid', None)
    """
    return _technology_names().get(plain_name(name))


def sample_word(kind: str, text: str) -> str | None:
    """Return what a text in a column of a sample means.

    Parameters
    ----------
    kind : {"material", "glycol_type", "sample_type"}
        The column.
    text : str
        The text.

    Examples
    --------
    >>> sample_word("material", "Tap water"), sample_word("glycol_type", "MEG")
    ('water', 'ethylene_glycol')
    """
    return _words(kind).get(plain_name(text))


@cache
def _technology_names() -> dict[str, str]:
    return {
        plain_name(name): key
        for key, known in technologies().items()
        for name in (key, known.title, *known.aliases)
    }


@cache
def _words(kind: str) -> dict[str, str]:
    return {
        plain_name(str(word)): meaning
        for meaning, words in word_list("sample_words")[kind].items()
        for word in (meaning, *words)
    }


@cache
def _not_stated() -> frozenset[str]:
    return frozenset(plain_name(str(word)) for word in word_list("cell_words")["blank"])


def sample_kinds(
    table: TextTable,
    roles: Mapping[str, Column],
    fluid: Column | None,
    glycol_found: npt.NDArray[np.bool_],
    choices: Choices,
) -> SampleKinds:
    """Say of each sample what it is.

    Parameters
    ----------
    table : TextTable
        The file.
    roles : mapping of str to Column
        The columns of facts about the sample.
    fluid : Column or None
        A column that names the fluid or product: it counts where it says what the others
        leave open.
    glycol_found : ndarray of bool, shape (n_samples,)
        Rows with a reading of glycol or reserve alkalinity above zero.
    choices : Choices
        Of the user, for rows that do not say.

    Returns
    -------
    SampleKinds
        A row that does not say is coolant if glycol or reserve alkalinity was found in it,
        its technology is stated or it was taken of new coolant, else water, stated as an
        assumption.

    Raises
    ------
    UnknownTechnologyError
        If the user's own technology is not known.
    """
    reader = _Reader(table, roles)
    base = roles.get("glycol_type")
    technology, families = reader.stated(
        "technology", technology_key, roles.get("material"), fluid, base
    )
    technology, families = reader.by_base(technology, families, base)
    glycol, glycols = reader.stated("glycol_type", partial(sample_word, "glycol_type"), fluid)
    material, named = reader.stated("material", partial(sample_word, "material"), fluid)
    kind, kinds = reader.stated(
        "sample_type", lambda text: sample_word("sample_type", text) or text
    )
    signs = glycol_found | (technology >= 0) | reader.filled("technology")
    signs |= np.array([*(name in NEW_COOLANT for name in kinds), False])[kind]
    if choices.technology is not None and not signs.any():
        signs = np.ones_like(signs)  # the user speaks of this file
    material, named = _with_default(material, named, choices.material)
    guessed = material < 0
    is_coolant = np.where(
        guessed, signs, np.array([*map("coolant".__eq__, named), False])[material]
    )
    if guessed.any():
        reader.said.append((None, _about_guess(int(signs[guessed].sum()), int(guessed.sum()))))
    technology, families = _with_default(technology, families, _own_technology(choices))
    glycol, glycols = _with_default(glycol, glycols, choices.glycol_type)
    kind, kinds = _with_default(kind, kinds, "routine")
    columns = {
        "material": _text(is_coolant.astype(np.int32), MATERIALS),
        "technology": _text(np.where(is_coolant, technology, -1), families),
        "glycol_type": _text(np.where(is_coolant, glycol, -1), glycols),
        "sample_type": _text(kind, kinds),
    }
    by_mix = np.array([not technologies()[key].refractometer for key in families] + [False])
    return SampleKinds(
        is_coolant.astype(np.int8),
        columns,
        reader.said,
        reader.not_read,
        by_mix[technology] & is_coolant if by_mix.any() else None,
    )


class _Reader:
    """The columns of one file that say what a sample is."""

    def __init__(self, table: TextTable, roles: Mapping[str, Column]) -> None:
        self.table, self.roles = table, roles
        self.said: list[tuple[str | None, str]] = []
        self.not_read: list[str] = []

    def stated(
        self, role: str, meaning: Callable[[str], str | None], *beside: Column | None
    ) -> tuple[_Codes, list[str]]:
        """Return what each row says, by its own column or else by one beside it."""
        codes = np.full(len(self.table.row), -1, dtype=np.int32)
        names: dict[str, int] = {}
        for column in (self.roles.get(role), *beside):
            if column is None:
                continue
            texts, places = self.table.coded(column.place)
            found = [
                meaning(text) if _is_stated(text) or _is_blank_sample(role, text) else None
                for text in texts.to_pylist()
            ]
            numbers = [-1 if f is None else names.setdefault(f, len(names)) for f in found]
            here = np.array([*numbers, -1], dtype=np.int32)[places]
            codes = np.where(codes < 0, here, codes)
            if column is self.roles.get(role):
                self._report_unknown(role, column, texts, places, here)
        return codes, list(names)

    def by_base(
        self, technology: _Codes, families: list[str], base: Column | None
    ) -> tuple[_Codes, list[str]]:
        """Give rows the technology of their base fluid where it is no glycol and water.

        A hybrid inhibitor in glycerol is judged as a glycerol mix.
        """
        if base is None:
            return technology, families
        texts, places = self.table.coded(base.place)
        keys = [technology_key(text or "") for text in texts.to_pylist()]
        mixes = [key if key and not technologies()[key].refractometer else None for key in keys]
        if not any(mixes):
            return technology, families
        families = list(dict.fromkeys([*families, *(key for key in mixes if key)]))
        number = np.array([-1 if key is None else families.index(key) for key in mixes], np.int32)
        here = number[places]
        other = (here >= 0) & (technology >= 0) & (technology != here)
        if other.any():
            said = (
                f"technology by the base, not by the inhibitor: {int(other.sum()):,} of the samples"
            )
            self.said.append((base.title, said))
        return np.where(here >= 0, here, technology), families

    def filled(self, role: str) -> npt.NDArray[np.bool_]:
        """Say of each row whether a column says anything at all."""
        column = self.roles.get(role)
        if column is None:
            return np.zeros(len(self.table.row), dtype=bool)
        texts, places = self.table.coded(column.place)
        return np.array([*map(_is_stated, texts.to_pylist()), False])[places]

    def _report_unknown(
        self,
        role: str,
        column: Column,
        texts: pa.Array,
        places: npt.NDArray[np.int32],
        meant: _Codes,
    ) -> None:
        counts = Counter(dict(enumerate(np.bincount(places[meant < 0], minlength=1).tolist())))
        unknown = [
            (texts[code].as_py(), count)
            for code, count in counts.most_common()
            if count and _is_stated(texts[code].as_py())
        ]
        if role == "glycol_type":  # a base that is no glycol was read as the technology
            unknown = [one for one in unknown if technology_key(one[0]) is None]
        if unknown:
            self.not_read.append(role)
        for text, count in unknown[:_SHOWN]:
            samples = "1 sample" if count == 1 else f"{count:,} samples"
            known = sorted(technologies()) if role == "technology" else _words(role).values()
            what = role.replace("_", " ")
            problem = not_one_of(shorten(text), sorted(set(known)), what)
            self.said.append((column.title, f"{problem}; left open for {samples}"))
        if len(unknown) > _SHOWN:
            more = f"{len(unknown) - _SHOWN:,} more texts are not known here either"
            self.said.append((column.title, more))


def _is_stated(text: str | None) -> bool:
    plain = plain_name(text or "")
    return plain != "" and plain not in _not_stated()


def _is_blank_sample(role: str, text: str) -> bool:
    """Say whether a word that elsewhere states nothing says that a sample is a blank."""
    return role == "sample_type" and sample_word(role, text) == BLANK_SAMPLE


def _own_technology(choices: Choices) -> str | None:
    if choices.technology is None:
        return None
    key = technology_key(choices.technology)
    if key is None:
        raise UnknownTechnologyError(not_one_of(choices.technology, technologies(), "technology"))
    return key


def _with_default(codes: _Codes, names: list[str], default: str | None) -> tuple[_Codes, list[str]]:
    """Fill rows that do not say."""
    if default is None:
        return codes, names
    if default not in names:
        names = [*names, default]
    return np.where(codes < 0, np.int32(names.index(default)), codes), names


def _about_guess(coolant: int, guessed: int) -> str:
    water = guessed - coolant
    parts = []
    if coolant:
        parts.append(f"{coolant:,} as coolant (with glycol, reserve alkalinity or a technology)")
    if water:
        parts.append(f"{water:,} as water")
    return f"material not stated: {' and '.join(parts)}; --material or a column says otherwise"


def _text(codes: _Codes, names: Sequence[str]) -> pd.Series:
    """Write codes as text, null where there is none."""
    known = pa.array([*names, None], pa.large_string())
    if len(names) and codes.size and (codes == codes[0]).all():
        texts = pa.repeat(known[int(codes[0])], len(codes))
    else:
        texts = known.take(pa.array(np.where(codes < 0, len(names), codes)))
    return pd.Series(texts, dtype="str")
