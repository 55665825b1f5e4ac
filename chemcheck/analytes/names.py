"""From a column's title to an analyte: matched by aliases, never guessed."""

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache

from chemcheck.analytes.load import vocabulary
from chemcheck.analytes.record import Analyte
from chemcheck.analytes.spelling import plain_name, plain_words
from chemcheck.errors import UnitError, not_one_of

# A name with more words than this is a sentence, and a longer text is none to suggest for.
_MOST_WORDS = 12
_LONGEST = 60


@dataclass(frozen=True, slots=True)
class Name:
    """What a name says.

    Parameters
    ----------
    analyte : str
        The key.
    form : str or None
        The species the value is written as, where the name says it.
    basis : str or None
        The key of the basis, where the name says it.
    choices : tuple of str
        The forms in question, where the name leaves open which is meant.
    """

    analyte: str
    form: str | None = None
    basis: str | None = None
    choices: tuple[str, ...] = ()


def analyte(key: str) -> Analyte:
    """Return the analyte with a key.

    Raises
    ------
    UnitError
        Where the vocabulary has no such key; with the nearest one.

    Examples
    --------
    >>> analyte("chloride").title
    'chloride'
    >>> analyte("chlorid")
    Traceback (most recent call last):
        ...
    chemcheck.errors.UnitError: 'chlorid' is no analyte known here; nearest: chloride
    """
    try:
        return vocabulary()[key]
    except KeyError:
        raise UnitError(not_one_of(key, vocabulary(), "analyte")) from None


@cache
def _keys_by_name() -> dict[str, str]:
    return {
        plain_name(name): key
        for key, known in vocabulary().items()
        for name in (key, *known.aliases)
    }


def find_analyte(name: str) -> str | None:
    """Return the key of the analyte a name stands for.

    Case, accents, spaces and punctuation do not matter. Words that say a form or a basis
    may stand before or behind the name: ``dissolved iron``, ``Nitrate as N``.

    Parameters
    ----------
    name : str
        ``Total Hardness``, ``NO3``, ``Leitfähigkeit``, ...

    Returns
    -------
    str or None
        The key; None where no analyte has this name. Never a guess.

    Examples
    --------
    >>> find_analyte("Total hardness"), find_analyte("SO₄²⁻"), find_analyte("NO3-N")
    ('total_hardness', 'sulfate', 'nitrate')
    >>> find_analyte("chlorine") is None
    True
    """
    found = read_name(name)
    return None if found is None else found.analyte


@lru_cache(maxsize=16384)
def read_name(name: str) -> Name | None:
    """Return what a name says: the analyte, and the form and basis where it says them.

    Parameters
    ----------
    name : str
        As in a column's title, without its unit.

    Returns
    -------
    Name or None
        None where no analyte has this name.

    Examples
    --------
    >>> read_name("nitrate nitrogen")
    Name(analyte='nitrate', form='N', basis=None, choices=())
    >>> read_name("Iron, total")
    Name(analyte='iron', form=None, basis='digested', choices=())
    >>> read_name("silicate").choices
    ('Si', 'SiO2')
    """
    words = plain_words(name)
    if len(words) > _MOST_WORDS:
        return None
    keys = _keys_by_name()
    for first, last in _spans(len(words)):
        spelled = "".join(words[first:last])
        key = keys.get(spelled)
        if key is None:
            continue
        known = vocabulary()[key]
        form, choices = known.form_names.get(spelled), known.split_names.get(spelled, ())
        rest = _read_rest(known, words[:first], words[last:])
        if rest is None or (form and rest[0] not in (None, form)):
            continue
        said = rest[0] or form
        return Name(key, said, rest[1], () if said else choices)
    return None


def _spans(count: int) -> Iterator[tuple[int, int]]:
    """Give every run of words, the longest first."""
    for length in range(count, 0, -1):
        for first in range(count - length + 1):
            yield first, first + length


def _read_rest(
    known: Analyte, before: tuple[str, ...], behind: tuple[str, ...]
) -> tuple[str | None, str | None] | None:
    """Read the words around a name as a form and a basis, None where they say more."""
    form = basis = None
    for words in (before, behind):
        spelled = "".join(words)
        if _keys_by_name().get(spelled) == known.key and spelled not in known.form_names:
            continue  # two names of one analyte: TDS/TS, lead (Pb)
        read = read_form_and_basis(known, words)
        if read is None or (read[0] and form) or (read[1] and basis):
            return None
        form, basis = form or read[0], basis or read[1]
    return form, basis


def read_form_and_basis(
    known: Analyte, words: tuple[str, ...]
) -> tuple[str | None, str | None] | None:
    """Read words beside a name or unit as a form, a basis, or both.

    Parameters
    ----------
    known : Analyte
        Whose forms and bases count.
    words : tuple of str
        In plain spelling.

    Returns
    -------
    form, basis : str or None
        What they say; None instead of the pair where they say anything else.

    Examples
    --------
    >>> read_form_and_basis(analyte("nitrite"), ("as", "n"))
    ('N', None)
    >>> read_form_and_basis(analyte("chloride"), ("free",)) is None
    True
    """
    for split in range(len(words) + 1):
        for left, right in ((words[:split], words[split:]), (words[split:], words[:split])):
            form, basis = _form(known, left), _basis(known, right)
            if (form or not left) and (basis or not right):
                return form, basis
    return None


def _form(known: Analyte, words: tuple[str, ...]) -> str | None:
    plain = "".join(words[1:] if words[:1] in (("as",), ("als",)) else words)
    by_formula = {plain_name(form): form for form in known.forms}
    return by_formula.get(plain) or known.form_words.get(plain) or known.form_names.get(plain)


def _basis(known: Analyte, words: tuple[str, ...]) -> str | None:
    plain = "".join(words)
    return next((basis.key for basis in known.bases if plain and plain in basis.words), None)


def nearest_analyte(name: str) -> str | None:
    """Return the key of the analyte whose name is nearest, as a suggestion to the user.

    Parameters
    ----------
    name : str
        A name that :func:`find_analyte` does not know.

    Returns
    -------
    str or None
        None where nothing is near.

    Examples
    --------
    >>> nearest_analyte("chlorde"), nearest_analyte("Hadrness"), nearest_analyte("xyz")
    ('chloride', 'total_hardness', None)
    """
    if len(name) > _LONGEST:
        return None
    known = _keys_by_name()
    near = get_close_matches(plain_name(name), list(known), n=1, cutoff=0.75)
    return known[near[0]] if near else None
