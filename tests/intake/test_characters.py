"""Characters that mean the same."""

import pytest

from chemcheck.intake.characters import plain


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("\u2212\uff13\uff14\u00a0F", "-34 F"),
        ("≤ 5", "<= 5"),
        ("\u200b7.5\ufeff", "7.5"),
        ("  a \t b ", "a b"),
        ("٣٤", "34"),
        ("10²", "10²"),
    ],
)
def test_plain(text, expected):
    assert plain(text) == expected
