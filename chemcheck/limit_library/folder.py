"""Where the library's files are: in the installed package, or in the project's own folder."""

import tomllib
from functools import cache
from pathlib import Path

from chemcheck.errors import LimitFileError

# Folders of sets, in the order in which a list shows them.
SET_FOLDERS = ("water", "new_coolant", "in_service", "degradation", "inspection")

_PACKAGE = Path(__file__).parent.parent


@cache
def limit_folder() -> Path:
    """Return the folder of the library's YAML files.

    An installed package carries them in ``limit_files``; a checkout of the project has
    them in ``limits`` beside the package.

    Raises
    ------
    LimitFileError
        If neither is there.
    """
    return find_limit_folder(_PACKAGE)


def find_limit_folder(package: Path) -> Path:
    """Return the folder of limit files of the package at a path; see `limit_folder`."""
    installed = package / "limit_files"
    if installed.is_dir():
        return installed
    checkout = package.parent / "limits"
    if checkout.is_dir() and _is_this_project(package.parent / "pyproject.toml"):
        return checkout
    problem = "the library of limits is missing; install chemcheck anew"
    raise LimitFileError(str(installed), None, None, problem)


@cache
def set_paths() -> dict[str, Path]:
    """Return the file of each set of the library, by id: the file's name is the id."""
    return {
        path.stem: path
        for name in SET_FOLDERS
        for path in sorted((limit_folder() / name).glob("*.yaml"))
    }


def _is_this_project(pyproject: Path) -> bool:
    try:
        with pyproject.open("rb") as stream:
            told = tomllib.load(stream)
    except (OSError, tomllib.TOMLDecodeError):
        return False
    project = told.get("project")
    return isinstance(project, dict) and project.get("name") == "chemcheck"
