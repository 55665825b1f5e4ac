"""Which method's precision a reading has."""

import numpy as np
import pytest

from chemcheck.judging.uncertainty import precision_table, unknown_methods
from chemcheck.limit_library import default_method, methods, precision_of
from chemcheck.readings.record import ReadingColumn
from tests.builders import bound, limit, limit_set, readings
from tests.judging.judged import by_one

COLUMNS = (ReadingColumn("chloride"), ReadingColumn("ph", "diluted"))


@pytest.mark.parametrize(("material", "place"), [("water", 0), ("coolant", 1)])
def test_without_a_method_the_usual_one_counts(material: str, place: int) -> None:
    table = precision_table([], COLUMNS)
    usual = precision_of(default_method(material), "chloride")
    assert table.absolute[place, 0] == usual.absolute
    assert table.relative[place, 0] == usual.relative


def test_a_named_method_counts_for_its_material() -> None:
    strip = methods()["strip_coolant"]
    table = precision_table(["Test strip", "no such method"], COLUMNS)
    row = table.row(np.array([0, 1], dtype=np.int16), np.array([1, 1], dtype=np.int8))
    assert table.absolute[row[0], 1] == precision_of(strip, "ph").absolute
    assert table.absolute[row[1], 1] == precision_of(default_method("coolant"), "ph").absolute
    assert unknown_methods(["Test strip", "no such method"]) == ("no such method",)


def test_the_two_parts_add_in_quadrature() -> None:
    table = precision_table([], COLUMNS)
    table.absolute[1, 0], table.relative[1, 0] = 3.0, 0.04
    found = table.standard_uncertainty(np.array([100.0, 0.0, np.nan]), 0, 1)
    assert found.tolist() == pytest.approx([5.0, 3.0, np.nan], nan_ok=True)


def test_methods_may_differ_by_reading() -> None:
    read = readings({"nitrite": [800.0, 800.0]}, method="strip_coolant")
    codes = np.array([[0], [-1]], dtype=np.int16)
    from dataclasses import replace

    mixed = replace(read, method=replace(read.method, codes=codes))
    judged = by_one(mixed, limit_set(limit("nitrite", bound("lower", 700.0))))
    # A strip's step is its uncertainty already; the laboratory's is not nothing.
    assert judged.uncertainty[0, 0] == 0.0
    assert judged.uncertainty[1, 0] > 0.0
