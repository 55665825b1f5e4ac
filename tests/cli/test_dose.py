"""``chemcheck dose``: the worked example, bounds kept, conflicts told."""

import json

import pytest
from click.testing import CliRunner

from chemcheck import check
from chemcheck.cli.main import main
from chemcheck.limit_library import all_cautions
from tests.builders import readings

NITRITE = ("--system", "40 L", "--now", "600 mg/L", "--target", "1200 mg/L", "--strength", "60 g/L")
HEAVY_DUTY = ("--technology", "heavy_duty_additive")


def run(*arguments: str):
    return CliRunner().invoke(main, ["dose", *arguments])


def answer(*arguments: str):
    result = run(*arguments, "--format", "json")
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)


def test_nitrite_to_its_target():
    # Worked example (computed here): 0.404 L drained first, 0.408 L into the headspace.
    found = answer(*NITRITE, *HEAVY_DUTY)
    assert found["schema"] == "chemcheck/dose/1"
    assert found["volume_l"] == pytest.approx(0.404, abs=5e-4)
    assert found["headspace_volume_l"] == pytest.approx(0.408, abs=5e-4)
    assert found["feasible"]
    assert found["questions"] == []
    assert found["limit_sets"][0]["id"] == "heavy_duty_additive_in_service"
    for key in ("nitrite_and_amine", "nitrite_and_acid", "hot_system", "disposal"):
        assert all_cautions()[key].text in found["cautions"]


def test_no_component_passes_its_bound():
    # 40 L at 100 mg/L plus v L at 30 g/L, v drained first: 200 mg/L at 40 * 100 / 29900 L.
    found = answer(*NITRITE, *HEAVY_DUTY, "--also", "molybdenum=100 mg/L; 30 g/L")
    assert "No upper bound of molybdenum" in found["questions"][0]
    over = answer(*NITRITE, *HEAVY_DUTY, "--most", "900 mg/L")
    assert not over["feasible"]
    # 40 * (900 - 600) / (60000 - 600)
    assert over["most_volume_l"] == pytest.approx(0.20202, abs=1e-5)
    assert "above its bound of 900" in over["answer"]
    assert "At most 0.202 L can be added" in over["answer"]


def test_bound_of_another_component_controls():
    found = answer(*NITRITE, *HEAVY_DUTY, "--also", "chloride=90 mg/L; 5 g/L")
    level = 90 + 0.40404 / 40 * (5000 - 90)
    assert found["components"][1]["reached"] == pytest.approx(level, abs=0.1)
    assert found["components"][1]["most"] is not None
    assert found["feasible"] is (level <= found["components"][1]["most"])


def test_a_coolant_above_a_bound_already_takes_none():
    found = answer(*NITRITE, *HEAVY_DUTY, "--also", "chloride=5000 mg/L; 6 g/L")
    assert found["most_volume_l"] == 0.0
    assert "None can be added as it is" in found["answer"]


def test_a_technology_without_place_for_it():
    found = answer(*NITRITE, "--technology", "organic_acid")
    assert not found["feasible"]
    assert found["answer"].startswith("Do not dose: organic_acid_in_service takes nitrite above")


def test_unknown_technology_is_asked_for():
    found = answer(*NITRITE)
    assert "Which technology is the coolant?" in found["questions"][0]
    assert all_cautions()["confirm_first"].text in found["cautions"]


def test_hardness_that_drops_out_is_told():
    found = answer(*NITRITE, *HEAVY_DUTY, "--hardness", "300 mg/L")
    assert "phosphate and silicate of an additive drop out" in found["questions"][0]
    assert answer(*NITRITE, *HEAVY_DUTY, "--hardness", "20 mg/L")["questions"] == []


def test_additive_units_by_the_label():
    # 37.854 L are 10 US gallons; half a unit a gallon is 5 units, of a pint each.
    units = ("--system", "37.854 L", "--component", "SCA", "--now", "1 unit/gal", "--target",
             "1.5 units/gal", "--per-unit", "1 pt", *HEAVY_DUTY)  # fmt: skip
    found = answer(*units)
    assert found["volume_l"] == pytest.approx(5 * 0.473176, abs=1e-3)
    assert found["feasible"]
    more = answer(*units[:7], "3.5 units/gal", *units[8:])
    assert not more["feasible"]
    assert "above its bound of 3" in more["answer"]


def test_nothing_to_add():
    found = answer(*NITRITE[:3], "1300 mg/L", *NITRITE[4:], *HEAVY_DUTY)
    assert found["volume_l"] == 0.0
    assert found["answer"].startswith("Nothing is to be added")


@pytest.mark.parametrize("more", [HEAVY_DUTY, (), ("--technology", "organic_acid")])
def test_text_keeps_to_its_columns(more):
    result = run(*NITRITE, *more)
    assert result.exit_code == 0
    assert max(map(len, result.stdout.splitlines())) <= 80


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (NITRITE[:6], "how strong the additive is was not said"),
        ((*NITRITE[:7], "1 g/L"), "the additive is no stronger than the target"),
        ((*NITRITE[:3], "600", *NITRITE[4:]), "--now '600' states no unit"),
        (("--system", "0 L", *NITRITE[2:]), "system's volume must be above zero"),
        ((*NITRITE, "--component", "nitritee x"), "is no analyte known here"),
        ((*NITRITE, "--technology", "heavyduty"), "is no technology known here"),
        ((*NITRITE, "--also", "chloride=5 mg/L"), "level now and level in the additive"),
        ((*NITRITE, "--per-unit", "1 pt"), "--per-unit is for additives that count in units"),
        ((*NITRITE, "--limits", "fill_water_default"), "is for water, not for coolant"),
        (("--system", "40 L", "--component", "SCA", "--now", "1 unit/gal", "--target",
          "1.5 units/gal"), "say how much additive holds one unit by its label"),
    ],
)  # fmt: skip
def test_what_cannot_be_gets_one_clear_line(arguments, said):
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert said in result.stderr.splitlines()[-1]
    assert "Traceback" not in result.stderr


@pytest.mark.parametrize(
    ("technology", "target", "state"),
    [
        ("heavy_duty_additive", 1800.0, "inside"),
        # 2400 is the top of the usual band, 3000 too much (memory).
        ("heavy_duty_additive", 2550.0, "warning"),
        # A sign of another coolant in an organic acid coolant (memory).
        ("organic_acid", 1200.0, "warning"),
    ],
)
def test_what_a_dose_comes_to_is_judged_as_a_sample_is(technology, target, state):
    given = ("--system", "40 L", "--now", "600 mg/L", "--strength", "60 g/L")
    found = answer(*given, "--target", f"{target} mg/L", "--technology", technology)
    sample = check(readings({"nitrite": [target]}, technology=technology))
    assert found["dosed"]["states"]["nitrite"] == state
    assert sample.results["state"].iloc[0] == state
    assert found["dosed"]["verdict"] == "undecided"  # the rest of the coolant was not read
    said = run(*given, "--target", f"{target} mg/L", "--technology", technology).stdout
    assert "The dosed coolant, judged" in said


def test_additive_units_are_judged_by_no_bound():
    found = answer(
        "--component", "additive units", "--system", "10 gal", "--now", "1 units/gal",
        "--target", "1.5 units/gal", "--per-unit", "1 US pt",
    )  # fmt: skip
    assert found["dosed"] is None
