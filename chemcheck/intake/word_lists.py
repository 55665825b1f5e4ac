"""The YAML lists of words that stand beside the readers."""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

import yaml

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@cache
def word_list(name: str) -> Mapping[str, Any]:
    """Return one of the lists beside this module.

    Parameters
    ----------
    name : str
        The file without its ending.

    Returns
    -------
    mapping
        As the file has it.

    Examples
    --------
    >>> "nd" in word_list("cell_words")["not_detected"]
    True
    """
    text = files("chemcheck.intake").joinpath(f"{name}.yaml").read_text(encoding="utf-8")
    content = yaml.load(text, Loader=_LOADER)
    return dict(content)


def squeezed(text: str) -> str:
    """Write a word without case, spaces and punctuation, so that spellings meet.

    Examples
    --------
    >>> squeezed("Sample No."), squeezed("Nr")
    ('sampleno', 'nr')
    """
    return "".join(character for character in text.casefold() if character.isalnum())
