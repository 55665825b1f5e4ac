"""Read a YAML data file that ships with the package."""

from pathlib import Path
from typing import Any

import yaml

from chemcheck.errors import LimitFileError

# The loader built on libyaml is about ten times faster; not every build of PyYAML has it.
SAFE_LOADER: type[yaml.SafeLoader | yaml.CSafeLoader] = getattr(
    yaml, "CSafeLoader", yaml.SafeLoader
)


class _Loader(SAFE_LOADER):  # type: ignore[valid-type, misc]  # the base is chosen above
    """A safe loader that refuses a key written twice, which plain YAML lets overwrite."""


def _mapping_once(loader: yaml.SafeLoader, node: yaml.MappingNode) -> dict[str, Any]:
    seen: dict[str, Any] = {}
    for key_node, value_node in node.value:
        key = loader.construct_object(key_node, deep=True)
        if key in seen:
            problem = f"the key {key!r} stands here twice"
            raise yaml.constructor.ConstructorError(None, None, problem, key_node.start_mark)
        seen[key] = loader.construct_object(value_node, deep=True)
    return seen


_Loader.add_constructor(yaml.resolver.BaseResolver.DEFAULT_MAPPING_TAG, _mapping_once)


def read_yaml(path: Path) -> dict[str, Any]:
    """Read one YAML mapping.

    Parameters
    ----------
    path : Path
        The file, UTF-8.

    Returns
    -------
    dict
        What the file says.

    Raises
    ------
    LimitFileError
        Where the file is no YAML, holds something else than one mapping, or writes a
        key twice; with file and line.

    Examples
    --------
    >>> from pathlib import Path
    >>> read_yaml(Path("nowhere.yaml"))
    Traceback (most recent call last):
        ...
    chemcheck.errors.LimitFileError: nowhere.yaml: cannot be read: No such file or directory
    """
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        problem = f"cannot be read: {error.strerror}"
        raise LimitFileError(str(path), None, None, problem) from None
    try:
        data = yaml.load(text, Loader=_Loader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark
        line = None if mark is None else mark.line + 1
        problem = error.problem or "no YAML"
        raise LimitFileError(str(path), line, None, problem) from None
    if not isinstance(data, dict):
        problem = "expected one mapping of keys to values"
        raise LimitFileError(str(path), None, None, problem)
    return data
