"""Fixtures that several parts of the suite share."""

import os
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import settings

from tests.documents import validated_invoke

PROJECT = Path(__file__).parent.parent

# A program for another interpreter, whose libraries this one does not have.
collect_ignore = ["reference/lifetimes_elsewhere.py"]

# The same examples every time, and no failure because a machine is busy.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")

# Every document of every command that any test runs is held against its published schema.
CliRunner.invoke = validated_invoke


@pytest.fixture(scope="session")
def open_data() -> Path:
    """Return the folder of open data files that nobody in this project wrote."""
    folder = Path(os.environ.get("CHEMCHECK_OPEN_DATA", PROJECT.parent / "shared" / "data"))
    if not folder.is_dir():
        pytest.skip(f"the open data folder is absent: {folder}; set CHEMCHECK_OPEN_DATA")
    return folder
