"""File names of units: safe on every system, and never the same for two."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.reports.unit_names import unit_names

HOSTILE = (
    "../../etc/passwd",
    "CON",
    "nul.txt",
    "<script>",
    "a/b\\c:d",
    "",
    " ",
    "\x00",
    "\u202eA",
    "x" * 10_000,
    "index",
)


@pytest.mark.parametrize("unit", HOSTILE)
def test_a_hostile_id_gives_a_safe_name(unit):
    (name,) = unit_names([unit]).values()
    assert re.fullmatch(r"[A-Za-z0-9_-]{1,60}", name)
    assert name.upper() not in ("CON", "NUL", "INDEX")


@given(st.lists(st.text(max_size=50), max_size=20))
def test_names_are_distinct_whatever_the_case(units):
    names = unit_names(units)
    assert set(names) == set(units)
    folded = [name.casefold() for name in names.values()]
    assert len(set(folded)) == len(folded)


def test_a_plain_id_keeps_its_name_beside_one_that_would_take_it():
    marked = unit_names(["a b"])["a b"]
    both = unit_names(["a b", marked])
    assert both[marked] == marked
    assert both["a b"] != marked
