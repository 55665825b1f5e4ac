"""YAML whose every value knows where it stands."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.errors import LimitFileError
from chemcheck.limit_library.located_yaml import parse_yaml


def value(text: str):
    return parse_yaml(f"key: {text}\n".encode(), "f.yaml").mapping()["key"]


@pytest.mark.parametrize(
    ("text", "number"),
    [("40", 40), ("5.5", 5.5), (".5", 0.5), ("-36.4", -36.4), ("1e3", 1000), ("+2.5E-2", 0.025)],
)
def test_number(text, number):
    assert value(text).number() == number


# What YAML 1.1 readers turn into something else: truth values, octal, base 60, dates.
@pytest.mark.parametrize("text", ["no", "yes", "on", "1:30", "2024-01-01", "0x10", "1_000", "1,5"])
def test_what_yaml_would_guess_is_no_number_but_text(text):
    with pytest.raises(LimitFileError, match="expected a number, found"):
        value(text).number()
    assert value(text).text() == text


@pytest.mark.parametrize("text", ["", "~", "null", "[]", "{}"])
def test_nothing_is_neither_text_nor_number(text):
    with pytest.raises(LimitFileError, match="expected a number, found"):
        value(text).number()
    with pytest.raises(LimitFileError, match="expected text, found"):
        value(text).text()


def test_quoted_empty_text_is_refused():
    with pytest.raises(LimitFileError, match=r"f\.yaml, line 1, key: expected text, found nothing"):
        value('""').text()
    assert value('"null"').text() == "null"


def test_block_text_is_one_line():
    whole = parse_yaml(b"key: >\n  one\n  two\n\n  three\n", "f.yaml")
    assert whole.mapping()["key"].text() == "one two three"


@given(
    names=st.lists(
        st.text("abcdefgh", min_size=1, max_size=6), min_size=1, max_size=20, unique=True
    ),
    gaps=st.lists(st.integers(0, 3), min_size=20, max_size=20),
)
def test_every_value_knows_its_line(names, gaps):
    text, lines = "", {}
    for name, gap in zip(names, gaps, strict=False):
        text += "\n" * gap
        lines[name] = text.count("\n") + 1
        text += f"{name}: {{inner: 1}}\n"
    found = parse_yaml(text.encode(), "f.yaml").mapping()
    assert {name: node.line for name, node in found.items()} == lines
    assert {node.mapping()["inner"].key for node in found.values()} == {
        f"{name}.inner" for name in names
    }


def test_bom_is_no_part_of_the_first_key():
    assert "key" in parse_yaml(b"\xef\xbb\xbfkey: 1\n", "f.yaml").mapping()


def test_windows_line_ends_count_once():
    found = parse_yaml(b"a: 1\r\nb: 2\r\nc: 3\r\n", "f.yaml").mapping()
    assert [node.line for node in found.values()] == [1, 2, 3]
