"""Coolant samples with known causes, drawn from the trade's ranges and from no signature file."""

from tests.causes.simulated_faults.draw import Cases, draw_cases
from tests.causes.simulated_faults.ranges import ANALYTES, Panel, Pattern, ranges

__all__ = ["ANALYTES", "Cases", "Panel", "Pattern", "draw_cases", "ranges"]
