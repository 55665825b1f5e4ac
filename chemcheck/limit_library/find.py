"""Limit sets found by id or path, and listed."""

from functools import cache
from pathlib import Path

from chemcheck.errors import LimitFileError, not_one_of
from chemcheck.limit_library.folder import set_paths
from chemcheck.limit_library.located_yaml import Located
from chemcheck.limit_library.set_head import USES, SetTitle, quick_title

_SUFFIXES = (".yaml", ".yml")


def set_ids() -> tuple[str, ...]:
    """Return the ids of the library's limit sets.

    Examples
    --------
    >>> "fill_water_default" in set_ids()
    True
    """
    return tuple(set_paths())


def find_set(id_or_path: str | Path) -> Path:
    """Return the file of a limit set.

    Parameters
    ----------
    id_or_path : str or Path
        An id of the library, or a file of the user's: what ends in ``.yaml`` or ``.yml``
        or names a folder on the way is a file.

    Raises
    ------
    LimitFileError
        If it is neither; with the nearest id.

    Examples
    --------
    >>> find_set("fill_water_default").name
    'fill_water_default.yaml'
    >>> find_set("fill_water_defualt")
    Traceback (most recent call last):
        ...
    chemcheck.errors.LimitFileError: fill_water_defualt: 'fill_water_defualt' is no limit set
    known here; nearest: fill_water_default
    """
    if isinstance(id_or_path, Path) or _is_path(id_or_path):
        return Path(id_or_path)
    known = set_paths()
    if id_or_path in known:
        return known[id_or_path]
    problem = not_one_of(id_or_path, known, "limit set")
    raise LimitFileError(id_or_path, None, None, problem)


def is_joint(name: str) -> bool:
    """Return whether a text names two sets of the library that judge together.

    Examples
    --------
    >>> is_joint("fill_water_default+inhibitor_water"), is_joint("our+water.yaml")
    (True, False)
    """
    names = name.split("+")
    return len(names) == 2 and set(names) <= set(set_paths())


def find_extended(extends: Located, path: Path) -> Path:
    """Return the file of the set that a file extends: an id, or a path from its own folder."""
    text = extends.text()
    if _is_path(text):
        return path.parent / text
    known = set_paths()
    if text not in known:
        extends.refuse(not_one_of(text, known, "limit set"))
    return known[text]


def set_title(path: Path) -> SetTitle:
    """Return what a list shows of the set in a file, reading as little as it can."""
    title = quick_title(path)
    if title is not None:
        return title
    from chemcheck.limit_library.load import load_set  # reads the chain, and stands above

    whole = load_set(path)
    return SetTitle(
        id=whole.id,
        version=whole.version,
        title=whole.title,
        material=whole.material,
        technologies=whole.technologies,
        glycols=whole.glycols,
        use=whole.use,
        path=whole.path,
    )


@cache
def list_sets() -> tuple[SetTitle, ...]:
    """Return the heads of the library's limit sets, by what they are used for.

    Their bounds are not read, so that a list is quick.

    Examples
    --------
    >>> list_sets()[0].use
    'fill water'
    """
    titles = (set_title(path) for path in set_paths().values())
    return tuple(sorted(titles, key=lambda title: USES.index(title.use)))


def _is_path(text: str) -> bool:
    return text.endswith(_SUFFIXES) or "/" in text or "\\" in text
