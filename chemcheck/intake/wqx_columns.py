"""The columns and the coded words of the open WQX result layout."""

from collections.abc import Mapping, Sequence
from functools import cache

from chemcheck.analytes import plain_name
from chemcheck.intake.word_lists import word_list


def wqx_columns(titles: Sequence[str]) -> Mapping[str, int] | None:
    """Return where the columns of the WQX result layout stand.

    Parameters
    ----------
    titles : sequence of str
        A file's header.

    Returns
    -------
    mapping of str to int, or None
        By the names of `wqx.yaml`; None where the file is not of this layout.

    Examples
    --------
    >>> titles = ["CharacteristicName", "ResultMeasureValue", "ResultMeasure/MeasureUnitCode"]
    >>> wqx_columns(titles) is None
    True
    >>> found = wqx_columns([*titles, "MonitoringLocationIdentifier", "ActivityStartDate"])
    >>> found["site"], found["unit"]
    (3, 2)
    """
    lists = word_list("wqx")
    places = {title.strip(): place for place, title in reversed(list(enumerate(titles)))}
    found = {}
    for column, names in lists["columns"].items():
        place = next((places[name] for name in names if name in places), None)
        if place is not None:
            found[column] = place
    return found if all(name in found for name in lists["needed"]) else None


def is_wqx_title(title: str) -> bool:
    """Say whether a title is one of the layout's, for finding the header of a file.

    Examples
    --------
    >>> is_wqx_title("CharacteristicName"), is_wqx_title("Chloride")
    (True, False)
    """
    return title.strip() in _all_titles()


@cache
def _all_titles() -> frozenset[str]:
    lists = word_list("wqx")
    names = [name for names in lists["columns"].values() for name in names]
    return frozenset((*names, *lists["kept"]))


@cache
def meanings(name: str) -> Mapping[str, str]:
    """Return what the words of a coded column mean, by their plain spelling.

    Parameters
    ----------
    name : {"conditions", "fractions", "media", "temperature_bases"}
        A list of `wqx.yaml`.

    Examples
    --------
    >>> meanings("conditions")[plain_name("Not Detected")]
    'below'
    """
    lists = word_list("wqx")[name]
    return {plain_name(str(word)): meaning for meaning, words in lists.items() for word in words}


def sample_type(activity_type: str) -> str:
    """Return the type of sample that an activity's type names.

    Examples
    --------
    >>> sample_type("Sample-Routine"), sample_type("Quality Control Sample-Field Replicate")
    ('routine', 'duplicate')
    >>> sample_type("Quality Control Sample-Equipment Blank")
    'blank'
    """
    lowered = activity_type.casefold()
    for phrase, kind in word_list("wqx")["sample_types"]:
        if phrase in lowered:
            return str(kind)
    return "routine"
