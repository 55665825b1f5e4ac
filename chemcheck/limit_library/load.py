"""A limit set, whole: its file laid over the sets that it extends, and checked."""

from functools import cache
from pathlib import Path

from chemcheck.limit_library.both_sets import JOINT, both_sets
from chemcheck.limit_library.find import find_extended, find_set, is_joint
from chemcheck.limit_library.folder import set_paths
from chemcheck.limit_library.records import LimitSet
from chemcheck.limit_library.set_file import DraftSet, lay_over, read_set_file
from chemcheck.limit_library.validate import whole_set


def load_set(id_or_path: str | Path) -> LimitSet:
    """Return a limit set of the library or of a user's file.

    Parameters
    ----------
    id_or_path : str or Path
        An id of `set_ids`, two of them joined by ``+``, or the path of a YAML file.

    Returns
    -------
    LimitSet
        Checked, with every bound in its analyte's canonical unit.

    Raises
    ------
    LimitFileError
        With file, line and key, if there is no such set or file, or it says something
        that a limit set cannot say.

    Examples
    --------
    >>> water = load_set("fill_water_default")
    >>> water.essential
    ('total_hardness', 'chloride', 'sulfate', 'ph')
    >>> [bound.value for limit in water.limits for bound in limit.bounds][:2]
    [170.0, 40.0]
    """
    if isinstance(id_or_path, str) and is_joint(id_or_path):
        first, second = id_or_path.split(JOINT)
        return both_sets(load_set(first), load_set(second))
    path = find_set(id_or_path)
    return _library_set(path) if _in_library(path) else check_file(path)


def check_file(path: str | Path) -> LimitSet:
    """Check a user's own file, and return the set it makes.

    Parameters
    ----------
    path : str or Path
        A YAML file.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.
    """
    path = Path(path)
    draft = _read_chain(path)
    if not _in_library(path) and draft.head.id in set_paths():
        at = draft.whole.mapping()["id"]
        at.refuse(f"{draft.head.id} is a set of the library; give yours an id of its own")
    return whole_set(draft)


@cache
def _library_set(path: Path) -> LimitSet:
    return whole_set(_read_chain(path))


@cache
def _library_file(path: Path) -> DraftSet:
    draft = read_set_file(path)
    if draft.head.id != path.stem:
        draft.whole.mapping()["id"].refuse(f"is not the file's name, {path.stem}")
    return draft


def _in_library(path: Path) -> bool:
    return set_paths().get(path.stem) == path


def _read_chain(path: Path) -> DraftSet:
    """Read a file and those it extends, and lay them over each other."""
    drafts: list[DraftSet] = []
    seen: list[Path] = []
    while True:
        seen.append(path.resolve())
        draft = _library_file(path) if _in_library(path) else read_set_file(path)
        drafts.append(draft)
        extends = draft.head.extends
        if extends is None:
            break
        path = find_extended(extends, path)
        if path.resolve() in seen:
            ring = " → ".join(place.name for place in (*seen, path))
            problem = "extends itself" if len(seen) == 1 else f"extends in a ring: {ring}"
            extends.refuse(problem)
        if not path.is_file():
            extends.refuse(f"there is no file {extends.text()}")
    whole = drafts.pop()
    while drafts:
        whole = lay_over(drafts.pop(), whole)
    return whole
