"""The page on how a limit file is written tells the truth: its examples are read."""

import re
from pathlib import Path

import pytest

from chemcheck.limit_library import check_file, limit_folder, load_set, methods, technologies
from chemcheck.limit_library.bounds import KINDS, SIDES
from chemcheck.limit_library.conditions import DROP
from chemcheck.limit_library.records import EVIDENCE

TEXT = (limit_folder() / "README.md").read_text("utf-8")
EXAMPLES = re.findall(r"```yaml\n(.*?)```", TEXT, flags=re.DOTALL)


@pytest.fixture(params=EXAMPLES, ids=("changed", "whole"))
def example(request, tmp_path: Path):
    path = tmp_path / "mine.yaml"
    path.write_text(request.param, encoding="utf-8")
    return check_file(path)


def test_examples_are_valid(example):
    assert example.limits


def test_first_example_changes_what_it_says(tmp_path):
    path = tmp_path / "mine.yaml"
    path.write_text(EXAMPLES[0], encoding="utf-8")
    ours = {limit.analyte: limit for limit in check_file(path).limits}
    default = {limit.analyte: limit for limit in load_set("fill_water_default").limits}
    assert ours["chloride"].bounds[0].value == 30
    assert set(default) - set(ours) == {"total_dissolved_solids"}


def test_words_of_the_page_are_those_of_the_reader():
    for word in (*EVIDENCE, *KINDS, *SIDES, DROP):
        assert f"`{word}`" in TEXT


def test_folders_named_are_there():
    sets = ("water", "new_coolant", "in_service", "degradation", "inspection")
    for name in (*sets, "methods", "checks"):
        assert f"`{name}`" in TEXT
        assert (limit_folder() / name).is_dir()
    assert methods()
    assert technologies()
