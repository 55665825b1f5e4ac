"""Output that appears whole or not at all."""

import os
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from chemcheck.errors import OutputError
from chemcheck.reports.whole_files import whole_file, whole_folder


class Interrupted(Exception):
    """Stands for whatever ends a run half way."""


def write(folder: Path, summary: str = '{"schema": "chemcheck/check-summary/1"}') -> None:
    (folder / "verdicts.csv").write_text("verdict\n")
    (folder / "summary.json").write_text(summary)


def stop_after(work: Callable[[Any], object], what: Any) -> None:
    work(what)
    raise Interrupted


def test_a_file_appears_when_complete(tmp_path: Path) -> None:
    target = tmp_path / "answer.json"
    with whole_file(target) as file:
        file.write(b"half")
        assert not target.exists()
    assert target.read_bytes() == b"half"
    assert [each.name for each in tmp_path.iterdir()] == ["answer.json"]


def test_a_file_that_is_not_finished_leaves_nothing(tmp_path: Path) -> None:
    target = tmp_path / "answer.json"
    target.write_text("before")
    with pytest.raises(Interrupted), whole_file(target) as file:
        stop_after(file.write, b"half")
    assert target.read_text() == "before"
    assert [each.name for each in tmp_path.iterdir()] == ["answer.json"]


@pytest.mark.skipif(os.name != "posix", reason="permissions as on Unix")
def test_files_and_folders_have_the_usual_permissions(tmp_path: Path) -> None:
    mask = os.umask(0o022)
    try:
        with whole_file(tmp_path / "a") as file:
            file.write(b"")
        with whole_folder(tmp_path / "b") as folder:
            write(folder)
    finally:
        os.umask(mask)
    assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o644
    assert stat.S_IMODE((tmp_path / "b").stat().st_mode) == 0o755


def test_a_dash_is_standard_output(capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    with whole_file("-") as file:
        file.write(b"seen")
        file.flush()
    assert capfdbinary.readouterr().out == b"seen"


def test_a_folder_appears_when_complete(tmp_path: Path) -> None:
    target = tmp_path / "deep" / "answer"
    with whole_folder(target) as folder:
        write(folder)
        assert not target.exists()
    assert sorted(each.name for each in target.iterdir()) == ["summary.json", "verdicts.csv"]
    assert [each.name for each in target.parent.iterdir()] == ["answer"]


def test_a_folder_that_is_not_finished_leaves_nothing(tmp_path: Path) -> None:
    target = tmp_path / "answer"
    with pytest.raises(Interrupted), whole_folder(target) as folder:
        stop_after(write, folder)
    assert list(tmp_path.iterdir()) == []


def test_an_earlier_run_is_replaced_and_other_files_stay(tmp_path: Path) -> None:
    with whole_folder(tmp_path / "answer") as folder:
        write(folder)
    (tmp_path / "answer" / "notes.txt").write_text("mine")
    with whole_folder(tmp_path / "answer") as folder:
        write(folder)
        (folder / "verdicts.csv").write_text("new\n")
    assert (tmp_path / "answer" / "verdicts.csv").read_text() == "new\n"
    assert (tmp_path / "answer" / "notes.txt").read_text() == "mine"
    assert not [each for each in (tmp_path / "answer").iterdir() if each.name.endswith(".part")]


def test_a_file_that_is_not_ours_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "verdicts.csv").write_text("mine")
    with (
        pytest.raises(OutputError, match=r"verdicts\.csv: is not replaced, because chemcheck did"),
        whole_folder(tmp_path) as folder,
    ):
        write(folder)
    assert (tmp_path / "verdicts.csv").read_text() == "mine"
    assert [each.name for each in tmp_path.iterdir()] == ["verdicts.csv"]


def test_a_folder_with_only_other_files_is_written_into(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    with whole_folder(tmp_path) as folder:
        write(folder)
    assert len(list(tmp_path.iterdir())) == 3


def test_an_input_is_never_replaced(tmp_path: Path) -> None:
    write(tmp_path)
    read = str(tmp_path / "verdicts.csv")
    with (
        pytest.raises(OutputError, match="because it was read"),
        whole_folder(tmp_path, inputs=["-", read]) as folder,
    ):
        write(folder)


@pytest.mark.parametrize("summary", ["[]", "{", '{"schema": "else"}', "{}"])
def test_a_summary_of_something_else_is_not_ours(tmp_path: Path, summary: str) -> None:
    write(tmp_path, summary)
    with pytest.raises(OutputError, match="is not replaced"), whole_folder(tmp_path) as folder:
        write(folder)


def test_a_target_of_the_wrong_kind(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match="is a file, expected a folder"):
        whole_folder(tmp_path / "file").__enter__()
    with pytest.raises(OutputError, match="is a folder, expected a file"):
        whole_file(tmp_path).__enter__()


def test_what_cannot_be_written_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match="cannot be written: "):
        whole_file(tmp_path / "file" / "answer.json").__enter__()
    with pytest.raises(OutputError, match="cannot be written: "):
        whole_folder(tmp_path / "file" / "answer").__enter__()
