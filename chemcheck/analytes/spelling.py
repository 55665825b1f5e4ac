"""How names are compared: without case, accents, spaces and punctuation."""

import re
import unicodedata

# Signs that change what is meant; everything else that is no letter or digit is dropped.
_WORD = re.compile(r"[^\W_]+")


def plain_words(text: str) -> tuple[str, ...]:
    """Return the words of a name in lower case without accents.

    Examples
    --------
    >>> plain_words("Säurekapazität, bis pH 4.3"), plain_words("NO₃-N")
    (('saurekapazitat', 'bis', 'ph', '4', '3'), ('no3', 'n'))
    """
    apart = unicodedata.normalize("NFKD", text).casefold()
    plain = "".join(letter for letter in apart if not unicodedata.combining(letter))
    return tuple(_WORD.findall(plain))


def plain_name(text: str) -> str:
    """Return a name as it is looked up.

    Examples
    --------
    >>> plain_name("Total Hardness"), plain_name("total_hardness"), plain_name("Dureté totale")
    ('totalhardness', 'totalhardness', 'duretetotale')
    """
    return "".join(plain_words(text))
