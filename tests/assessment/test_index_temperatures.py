"""Temperatures that figures are asked for, as a person writes them."""

import pytest

from chemcheck.assessment.index_temperatures import index_temperatures
from chemcheck.errors import QuantityError


def asked(*texts):
    return [(one.label, one.celsius) for one in index_temperatures(*texts)]


def test_by_default_as_sampled_heated_and_in_the_film():
    usual = [("cold", None), ("25", 25.0), ("60", 60.0), ("90", 90.0)]
    assert asked() == [*usual, ("film", 110.0)]
    # 239 F is 115 C.
    assert asked(None, "239 F") == [*usual, ("film", 115.0)]


def test_a_list_keeps_its_order_and_repeats_nothing():
    assert asked("film, 82 C,cold; 82") == [("film", 110.0), ("82", 82.0), ("cold", None)]
    assert asked("212 F") == [("100", 100.0)]


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        (("140 C",), "--temperatures '140 C': expected 0 to 130 C"),
        (("25, -3 C",), "expected 0 to 130 C"),
        (("20-30 C",), "expected one temperature, not a range"),
        (("hot",), "--temperatures 'hot'"),
        (("",), "--temperatures ''"),
        ((None, "115 psi"), "--film-temperature '115 psi'"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(texts, said):
    with pytest.raises(QuantityError, match=said):
        index_temperatures(*texts)
