"""The YAML lists of words that stand beside the readers."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from chemcheck.units import read_yaml


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
    return read_yaml(Path(__file__).with_name(f"{name}.yaml"))
