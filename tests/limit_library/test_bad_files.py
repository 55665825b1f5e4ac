"""Every way in which a limit file can be wrong gives one clear line.

The first line of each file in ``files`` is the message that the file must give.
"""

from pathlib import Path

import pytest

from chemcheck.errors import LimitFileError
from chemcheck.limit_library import check_file

FILES = sorted((Path(__file__).parent / "files").glob("*.yaml"))


def message_of(path: Path) -> str:
    with pytest.raises(LimitFileError) as caught:
        check_file(path)
    return str(caught.value)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_file_gives_the_message_of_its_first_line(path):
    expected = path.read_text("utf-8").splitlines()[0].removeprefix("# ")
    assert message_of(path) == f"{path.parent}/{expected}"


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_error_carries_file_and_line_on_one_line(path):
    with pytest.raises(LimitFileError) as caught:
        check_file(path)
    assert "\n" not in str(caught.value)
    assert Path(caught.value.file).parent == path.parent
    lines = Path(caught.value.file).read_text("utf-8").splitlines()
    assert caught.value.line is not None
    assert 1 < caught.value.line <= len(lines) + 1


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "is empty"),
        (b"# nothing but a comment\n", "is empty"),
        (b"\x00\x01\x02\x03", "is no YAML: "),
        (b"id: mine\ntitle: \xff\xfe\n", "line 2: is not UTF-8 text"),
        (b"\xff\xfei\x00d\x00", "line 1: is not UTF-8 text"),
        (b"id: mine\n" + b"# padding\n" * 100_001, "is larger than 1,000,000 bytes"),
        (b"[" * 100_000, "nest"),
        (b"- " * 100_000, "is nested deeper than 20 levels"),
        (b"just text", "expected keys with values below it, found the text 'just text'"),
    ],
    ids=["empty", "comment", "binary", "cp1252", "utf16", "large", "deep", "deep_block", "text"],
)
def test_bytes_that_are_no_limit_file(tmp_path, data, message):
    path = tmp_path / "mine.yaml"
    path.write_bytes(data)
    text = message_of(path)
    assert text.startswith(f"{path}")
    assert message in text
    assert len(text.splitlines()) == 1


def test_missing_file_and_folder(tmp_path):
    assert message_of(tmp_path / "no.yaml") == f"{tmp_path / 'no.yaml'}: there is no such file"
    folder = tmp_path / "folder.yaml"
    folder.mkdir()
    assert message_of(folder) == f"{folder}: is a folder; expected a YAML file"


def test_long_text_in_a_file_is_cut_in_the_message(tmp_path):
    path = tmp_path / "mine.yaml"
    path.write_text("id: mine\n" + "x" * 500 + ": 1\n")
    assert len(message_of(path)) < 500
