"""Charts of readings, bounds, forecasts and change intervals, drawn by matplotlib."""

from chemcheck.reports.charts.canvas import FORMS, Chart, picture, svg_in_page

__all__ = ["FORMS", "Chart", "picture", "svg_in_page"]
