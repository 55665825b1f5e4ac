"""The same shift in several units: said once, and seldom where nothing is shared."""

import numpy as np
import pytest

from chemcheck.fills import number_fills
from chemcheck.fills.history_checks import check_histories
from chemcheck.fills.shared_cause_words import shared_cause_words
from chemcheck.fills.shared_causes import shared_causes
from tests.fills.invented_fleet import clean_fleet
from tests.readings.build import coded, readings_of


def fleet(seed, **sizes):
    """A clean fleet of four depots and three waters."""
    made = clean_fleet(seed, **sizes)
    random = np.random.default_rng(seed + 7)
    units = sorted(set(made.samples["unit_id"]))
    depot = {unit: f"D{random.integers(4)}" for unit in units}
    water = {unit: f"W{random.integers(3)}" for unit in units}
    made.samples["Depot"] = made.samples["unit_id"].map(depot)
    made.samples["Water source"] = made.samples["unit_id"].map(water)
    return made


def shift(made, analyte, factor, rows):
    place = made.columns.index(analyte)
    for end in (made.lower, made.upper):
        end[:, place] *= np.where(rows, factor, 1.0)


def find(made, **codes):
    readings = readings_of(
        made.samples.to_dict("list"), made.columns, made.lower, made.upper, **codes
    )
    return shared_causes(readings, number_fills(readings.samples))


def test_nothing_shared_nothing_said():
    # The chance of any finding is held at 1 % a fleet.
    assert sum(bool(find(fleet(seed))) for seed in range(8)) <= 1


def test_a_depots_water_is_said_once_with_what_to_test():
    made = fleet(2)
    since = (made.samples["taken_on"] >= "2030-03-10").to_numpy()
    of_depot = (made.samples["Depot"] == "D2").to_numpy()
    coolant = (made.samples["material"] == "coolant").to_numpy()
    shift(made, "chloride", 1.5, since & of_depot & coolant)
    shift(made, "sodium", 1.15, since & of_depot & coolant)
    [cause] = find(made)
    assert (cause.kind, cause.level) == ("depot", "D2")
    assert set(cause.analytes) == {"chloride", "sodium"}
    assert dict(zip(cause.analytes, cause.shift, strict=True))["chloride"] == pytest.approx(
        1.5, rel=0.1
    )
    assert cause.since in ("2030-02", "2030-03", "2030-04")
    assert shared_cause_words(cause).endswith(
        "sample the water and the concentrate that the depot fills up with"
    )


def test_a_shift_of_the_whole_fleet_is_one_of_the_date():
    made = fleet(4)
    shift(made, "phosphate", 1.4, (made.samples["taken_on"] >= "2030-01-01").to_numpy())
    causes = find(made)
    assert [(c.kind, c.analytes) for c in causes] == [("date", ("phosphate",))]


def test_a_step_with_the_laboratory_is_called_that():
    made = fleet(3)
    later = (made.samples["taken_on"] >= "2030-02-01").to_numpy()
    shift(made, "nitrite", 1.2, later)
    width = len(made.columns)
    [cause] = find(made, laboratory=coded(["Alpha", "Beta"], later, width))
    assert (cause.kind, cause.level) == ("change of laboratory", "Alpha to Beta")
    assert cause.shift[0] == pytest.approx(1.2, rel=0.05)
    assert "the step is the change's, not the coolants'" in shared_cause_words(cause)


def test_a_step_with_the_method_is_called_that():
    made = fleet(3)
    later = (made.samples["taken_on"] >= "2030-02-01").to_numpy()
    shift(made, "silicon", 0.8, later)
    causes = find(made, method=coded(["ion", "plasma"], later, len(made.columns)))
    assert [c.kind for c in causes] == ["change of method"]


def test_two_things_that_explain_the_same_are_both_named():
    made = fleet(5)
    made.samples["Bulk tank"] = made.samples["Depot"].str.replace("D", "T")
    of_depot = (made.samples["Depot"] == "D1").to_numpy()
    since = (made.samples["taken_on"] >= "2030-03-10").to_numpy()
    coolant = (made.samples["material"] == "coolant").to_numpy()
    shift(made, "boron", 0.8, since & of_depot & coolant)
    [cause] = find(made)
    named = {(cause.kind, cause.level), *cause.also}
    assert named == {("bulk_tank", "T1"), ("depot", "D1")}


def test_shared_causes_stand_before_the_rows():
    made = fleet(2)
    since = (made.samples["taken_on"] >= "2030-03-10").to_numpy()
    shift(made, "chloride", 1.6, since & (made.samples["Depot"] == "D2").to_numpy())
    made.lower[40, made.columns.index("boron")] *= 10
    made.upper[40, made.columns.index("boron")] *= 10
    checks = check_histories(
        readings_of(made.samples.to_dict("list"), made.columns, made.lower, made.upper)
    )
    assert checks.questions["column"].iloc[0] == "depot"
    assert checks.questions["row"].isna().tolist()[0]
    assert not checks.questions["row"].isna().iloc[1:].any()
