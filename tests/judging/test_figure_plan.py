"""What is taken for granted of all waters, said once with how many it holds for."""

from chemcheck.judging import figure_plan
from chemcheck.judging.water_figures import usual_temperatures
from tests.builders import readings
from tests.judging.test_water_figures import TAP


def said(method: str | None = None, **columns):
    cells = {key: [cell] * 3 for key, cell in TAP.items()} | columns
    kept = {key: values for key, values in cells.items() if values is not None}
    water = readings(kept, material="water", method=method)
    return figure_plan.figure_plan(water, usual_temperatures())


def test_nothing_is_assumed_of_a_whole_analysis() -> None:
    plan = said()
    assert plan.searched
    assert plan.assumptions == (
        "figures above 100 C: constants extrapolated, as their sources end there",
    )


def test_each_assumption_is_one_line_with_its_number_and_evidence() -> None:
    plan = said(water_temperature=[10.0, None, None], sodium=[None] * 3, potassium=[None] * 3)
    assert plan.assumptions[:3] == (
        "figures of 3 waters: sodium from none to what tap water may hold (200 mg/L, memory)",
        "figures of 3 waters: potassium from none to what tap water may hold (12 mg/L, memory)",
        "figures of 2 waters: temperature that of a tap, as none is stated (5 to 25 C, common "
        "practice)",
    )


def test_very_many_intervals_are_left_out_of_files_and_said(monkeypatch) -> None:
    monkeypatch.setattr(figure_plan, "MOST_SEARCHED", 2)
    monkeypatch.setattr(figure_plan, "_AT_ONCE", 2)
    plan = said(ph=[(7.0, 8.0)] * 3)
    assert not plan.searched
    assert "figures of 3 waters whose readings are intervals are left out" in plan.assumptions[-1]


def test_coolant_needs_no_figures() -> None:
    plan = figure_plan.figure_plan(readings({"ph": [8.0]}), usual_temperatures())
    assert plan == figure_plan.FigurePlan(True, ())
