"""What a sample was taken of is called by its name."""

import pandas as pd
import pytest

from chemcheck.assessment.check import check
from chemcheck.fills.shared_cause_words import shared_cause_words
from chemcheck.fills.shared_causes import SharedCause
from chemcheck.readings.holders import holder_of
from chemcheck.reports.sample_findings import sample_name
from tests.builders import readings


@pytest.mark.parametrize(
    ("material", "kind", "expected"),
    [
        ("water", "routine", "source"),
        ("coolant", "routine", "unit"),
        ("coolant", "fresh fill", "unit"),
        ("coolant", "bulk tank", "tank"),
        ("coolant", "premix", "delivery"),
        ("coolant", "new concentrate", "delivery"),
    ],
)
def test_its_word_in_names(material, kind, expected):
    samples = pd.DataFrame({"material": [material], "sample_type": [kind]})
    assert holder_of(samples, 0) == expected
    read = check(
        readings({"ph:neat": [8.0]}, material=material, sample_type=kind, unit_id="Brinmouth")
    ).readings
    assert f"{expected} Brinmouth" in sample_name(read, 0)


def test_a_shift_in_waters_is_one_of_sources():
    cause = SharedCause("depot", "north", "2031-04", ("chloride",), (1.8,), 3, 7.2)
    assert "in 3 units of depot north" in shared_cause_words(cause)
    water = SharedCause(
        "change of laboratory", "A to B", "", ("chloride",), (1.8,), 3, 7.2, holders="sources"
    )
    assert "in 3 sources with" in shared_cause_words(water)
    assert "not the waters'" in shared_cause_words(water)
