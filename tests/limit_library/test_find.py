"""Sets are found by id or path, and listed without reading their bounds."""

import subprocess
import sys
from pathlib import Path

import pytest

from chemcheck.errors import LimitFileError
from chemcheck.limit_library import find_set, limit_folder, list_sets, load_set, set_ids
from chemcheck.limit_library.folder import SET_FOLDERS, find_limit_folder
from chemcheck.limit_library.set_head import USES

PROJECT = Path(__file__).parent.parent.parent


def test_quick_list_says_what_the_whole_file_says():
    for title in list_sets():
        whole = load_set(title.id)
        for name in ("id", "version", "title", "material", "technologies", "glycols", "use"):
            assert getattr(title, name) == getattr(whole, name)
        assert title.path == whole.path
    assert sorted(title.id for title in list_sets()) == sorted(set_ids())


def test_list_goes_by_use():
    order = [USES.index(title.use) for title in list_sets()]
    assert order == sorted(order)


def test_ids_are_unique_and_name_their_files():
    files = [path for name in SET_FOLDERS for path in (limit_folder() / name).glob("**/*.yaml")]
    assert sorted(path.stem for path in files) == sorted(set_ids())


def test_path_and_id(tmp_path, monkeypatch):
    assert find_set(tmp_path / "mine") == tmp_path / "mine"
    assert find_set("./mine.yaml") == Path("mine.yaml")
    assert find_set("fill_water_default").parent.name == "water"
    # A file beside the user that is called as a set is does not hide the set.
    monkeypatch.chdir(tmp_path)
    (tmp_path / "fill_water_default").write_text("no set")
    assert load_set("fill_water_default").id == "fill_water_default"


def test_unknown_id():
    with pytest.raises(LimitFileError, match="nearest: fill_water_default"):
        load_set("fill_water_defaults")


def test_library_is_found_in_a_wheel_before_a_checkout(tmp_path):
    package = tmp_path / "chemcheck"
    package.mkdir()
    (tmp_path / "limits").mkdir()
    with pytest.raises(LimitFileError, match="the library of limits is missing"):
        find_limit_folder(package)
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "another"\n')
    with pytest.raises(LimitFileError, match="the library of limits is missing"):
        find_limit_folder(package)
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "chemcheck"\n')
    assert find_limit_folder(package) == tmp_path / "limits"
    (package / "limit_files").mkdir()
    assert find_limit_folder(package) == package / "limit_files"


def test_damaged_pyproject_is_not_this_project(tmp_path):
    (tmp_path / "limits").mkdir()
    (tmp_path / "pyproject.toml").write_text("name = [")
    with pytest.raises(LimitFileError, match="the library of limits is missing"):
        find_limit_folder(tmp_path / "chemcheck")


def test_list_needs_no_table_library_and_no_vocabulary():
    code = """
import sys
from chemcheck.limit_library import list_sets
assert len(list_sets()) > 30
heavy = {"numpy", "pandas", "pyarrow", "scipy", "matplotlib"} & set(sys.modules)
assert not heavy, heavy
from chemcheck.analytes import vocabulary
assert vocabulary.cache_info().currsize == 0
"""
    done = subprocess.run([sys.executable, "-c", code], cwd=PROJECT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
