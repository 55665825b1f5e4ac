"""The package's names, and that titles are read without heavy libraries."""

import subprocess
import sys

import pytest

from chemcheck import intake


def test_names_are_there():
    for name in dir(intake):
        assert callable(getattr(intake, name))
    with pytest.raises(AttributeError, match="no attribute 'read_tea_leaves'"):
        intake.read_tea_leaves  # noqa: B018  # the attribute is what is tested


def test_titles_need_no_tables():
    program = (
        "import sys; from chemcheck.intake.headers import read_header; read_header('pH'); "
        "sys.exit('pandas' in sys.modules or 'pyarrow' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0
