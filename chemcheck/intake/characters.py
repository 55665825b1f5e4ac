"""Characters that mean the same in a result, brought to one form before anything is read."""

import unicodedata

# Hyphen, figure dash, minus and their like; en and em dash are read as minus as well,
# because between two numbers all of them mean a range.
_DASHES = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe63\uff0d"
_SPACES = "\t\r\n\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a"
_SPACES += "\u202f\u205f\u3000"
_NOTHING = "\u200b\u200c\u200d\u2060\ufeff\u00ad"
_SAME = {
    "\u2264": "<=",
    "\u2a7d": "<=",
    "\u2265": ">=",
    "\u2a7e": ">=",
    "\u2248": "~",
    "\u223c": "~",
    "\u2019": "'",
    "\u2018": "'",
    "\u02bc": "'",
    "\u2032": "'",
    "\u201c": '"',
    "\u201d": '"',
    "\u2236": ":",
    "\u2026": "...",
    "\u00d7": "x",
    "\u00b1": "+-",
}


def _full_width() -> dict[int, str]:
    """Return the full-width forms of ASCII."""
    return {code: chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)}


def _table() -> dict[int, str]:
    table = _full_width()
    table |= {ord(character): "-" for character in _DASHES}
    table |= {ord(character): " " for character in _SPACES}
    table |= {ord(character): "" for character in _NOTHING}
    table |= {ord(character): text for character, text in _SAME.items()}
    return table


_TABLE = _table()


def plain(text: str) -> str:
    """Write spaces, dashes, digits and comparison signs of every kind in their plain form.

    Superscript digits stay, because ``5¹`` is a five with a footnote and not fifty-one.

    Parameters
    ----------
    text : str
        As found in the file.

    Returns
    -------
    str
        Runs of spaces are one space, none stands at the ends.

    Examples
    --------
    >>> plain("\u2212\uff13\uff14\u00a0F")
    '-34 F'
    >>> plain("\u2264 0,5"), plain("5\u00b9")
    ('<= 0,5', '5¹')
    """
    if text.isascii():
        return " ".join(text.split())
    changed = text.translate(_TABLE)
    if not changed.isascii():
        changed = "".join(_one_digit(character) for character in changed)
    return " ".join(changed.split())


def _one_digit(character: str) -> str:
    value = unicodedata.decimal(character, None)
    return character if value is None else str(value)
