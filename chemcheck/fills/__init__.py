"""Fills: what was in a unit, since when, and how it was when fresh."""

from chemcheck.fills.axis import AXES, Usage, choose_axis, measure_usage
from chemcheck.fills.fill_numbers import Fills, number_fills
from chemcheck.fills.fresh_fill import fresh_fill_rows

__all__ = [
    "AXES",
    "Fills",
    "Usage",
    "choose_axis",
    "fresh_fill_rows",
    "measure_usage",
    "number_fills",
]
