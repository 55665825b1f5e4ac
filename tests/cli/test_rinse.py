"""``chemcheck rinse``: the worked examples, proof, and one clear line for what cannot be."""

import json

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main
from chemcheck.limit_library import all_cautions
from tests.remedies.mixing import Vessel

VOLUMES = ("--system", "12 L", "--drains", "8 L")


def run(*arguments: str):
    return CliRunner().invoke(main, ["rinse", *arguments])


def answer(*arguments: str):
    result = run(*arguments, "--format", "json")
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)


def test_rinses_to_one_per_cent():
    # Worked example (computed here): 5 rinses, 40 L; 55 L continuous; 3.7 % after three.
    found = answer(*VOLUMES)
    assert found["schema"] == "chemcheck/rinse/1"
    assert (found["rinses"], found["water_l"]) == (5, 40.0)
    assert found["residue_percent"] == pytest.approx(0.4, abs=0.05)
    assert found["continuous_l"] == pytest.approx(55.0, abs=0.5)
    assert found["continuous_plug_l"] < found["continuous_l"]
    assert found["usual_residue_percent"] == pytest.approx(3.7, abs=0.05)
    assert found["residues_percent"] == pytest.approx([33, 11, 3.7, 1.2, 0.4], rel=0.05)
    for key in ("flushing_agent", "nitrite_and_acid", "disposal", "hot_system", "pressure_test"):
        assert all_cautions()[key].text in found["cautions"]


def test_less_that_drains_takes_more_rinses():
    # Worked example (computed here): 12 rinses, 48 L.
    found = answer("--system", "12 L", "--drains", "4 L")
    assert (found["rinses"], found["water_l"]) == (12, 48.0)


def test_poor_mixing_takes_more_rinses():
    assert answer(*VOLUMES, "--efficiency", "70 %")["rinses"] > 5


def test_a_flat_tail_is_told():
    found = answer(
        *VOLUMES, "--readings", "2100; 760; 300; 150; 100; 85 uS/cm", "--water", "20 uS/cm"
    )
    assert found["proof"]["flat_tail"] is True
    assert found["proof"]["reached"] is False
    assert found["further_rinses"] is None
    assert "The tail is flat" in found["answer"]


def test_a_fall_by_dilution_is_told():
    # A third is kept each time (computed here), above rinse water of 20 uS/cm.
    read = "; ".join(f"{20 + 2400 / 3**k:.0f}" for k in range(6))
    found = answer(*VOLUMES, "--readings", f"{read} uS/cm", "--water", "20 uS/cm")
    assert found["proof"]["flat_tail"] is False
    assert found["proof"]["reached"] is True
    assert found["further_rinses"] == 0
    assert found["measured_efficiency_percent"] == pytest.approx(100, abs=3)


def test_a_refractometer_cannot_prove_one_per_cent():
    # 95 % of 1.5 vol% (memory) is 3 of 50 vol%: 6 % of the old fill.
    found = answer(*VOLUMES, "--readings", "50; 16.7; 5.6; 1.9; 0.6 %")
    assert found["proof"]["reached"] is None
    assert "The readings leave it open" in found["answer"]


def test_two_readings_say_nothing_of_a_tail():
    found = answer(*VOLUMES, "--readings", "50; 16.7 %")
    assert found["proof"]["flat_tail"] is None
    assert "Two readings cannot show" in found["answer"]


def test_which_rinse_must_be_deionised():
    # Worked example (computed here): 207 mg/L in the water, 69 after one deionised rinse; the
    # default bound is 170. Deionised water is taken to hold up to 2.
    found = answer(*VOLUMES, "--tap", "hardness=310 mg/L")
    assert found["deionised_rinses"] == 1
    assert found["deionised"]["after_tap_alone"] == pytest.approx(207, abs=1)
    assert found["deionised"]["finished"] == pytest.approx(69, abs=2)
    assert found["deionised"]["controlled_by"] == "total_hardness"
    assert (found["deionised"]["held_l"], found["deionised"]["added_l"]) == (4.0, 2.0)
    assert found["limit_sets"][0]["id"] == "fill_water_default"
    assert "sulfate was not given" in found["questions"][0]


def test_more_deionised_rinses_than_the_residue_asks_for():
    # By hand: two thirds stay each time. 300 mg/L in 8 L and no water beside it; the sixth
    # rinse brings 300 (2/3)^6 = 26 mg/L, the fifth 40 (deionised water itself up to 1).
    few = ("--system", "12 L", "--drains", "4 L", "--target", "30 %", "--tap", "chloride=300 mg/L")
    found = answer(*few)
    assert (found["rinses"], found["deionised_rinses"], found["rinses_in_all"]) == (3, 6, 6)
    assert found["deionised_l"] == 24.0
    assert "6 rinses in all" in found["answer"]
    vessel, rinses = Vessel.of(12.0, chloride=300.0), 0
    while vessel.level("chloride") > 40.0:
        vessel.drain(4.0)
        vessel.add(4.0, chloride=1.0)
        rinses += 1
    assert rinses == found["rinses_in_all"]


def test_each_rinse_says_its_water():
    found = run(*VOLUMES, "--tap", "hardness=310 mg/L").stdout.splitlines()
    begin = found.index("Rinse by rinse")
    waters = [line.split()[-1] for line in found[begin + 4 : begin + 9]]
    assert waters == ["tap", "tap", "tap", "tap", "deionised"]


def test_readings_that_rise_are_asked_about():
    found = answer(*VOLUMES, "--readings", "50; 60; 5 %")
    assert "Reading 2 (60 %) is above the one before (50 %)" in found["questions"][0]
    assert "as dilution does; no flat tail" not in found["answer"]


def test_readings_that_fall_faster_than_the_volumes_allow_are_asked_about():
    # 9 of 22 L leave 59 % each time at perfect mixing, 40 % were read.
    found = answer("--system", "22 L", "--drains", "9 L", "--readings", "50; 20; 8; 3 %")
    assert "a rinse leaves 59 % at the least" in found["questions"][0]
    assert "no flat tail is seen" not in found["answer"]
    assert answer(*VOLUMES, "--readings", "50; 17; 6; 2 %")["questions"] == []


def test_the_rinse_waters_own_reading_is_uncertain_too():
    # 3 % of 85 uS/cm (memory) once more, in quadrature with that of the reading itself.
    read = ("--readings", "2400; 880; 350; 170; 110 uS/cm")
    ends = answer(*VOLUMES, *read, "--water", "85 uS/cm")["proof"]["residue_percent"]
    half = 1.96 * 100.0 * ((0.03 * 110.0) ** 2 + (0.03 * 85.0) ** 2) ** 0.5 / (2400.0 - 85.0)
    assert (ends["upper"] - ends["lower"]) / 2.0 == pytest.approx(half, rel=0.02)


def test_every_bound_of_the_finished_fill_is_told():
    # By hand: two thirds of the fill's water are held back, a third of that after a rinse.
    found = answer(*VOLUMES, "--tap", "hardness=310 mg/L", "--tap", "chloride=85 mg/L")
    levels = {one["bound"]: one for one in found["deionised"]["levels"]}
    assert levels["chloride"]["after_tap_alone"] == pytest.approx(85 * 2 / 3, abs=1)
    assert levels["chloride"]["finished"] == pytest.approx(85 * 2 / 9, abs=1)
    assert levels["total_hardness"]["value"] == 170.0
    text = run(*VOLUMES, "--tap", "hardness=310 mg/L").stdout
    assert "Water of the finished fill" in text


def test_soft_tap_water_will_do():
    water = ("hardness=60 mg/L", "chloride=20 mg/L", "sulfate=30 mg/L")
    found = answer(*VOLUMES, *(part for one in water for part in ("--tap", one)))
    assert found["deionised_rinses"] == 0
    assert found["questions"] == []
    assert "Tap water will do for all rinses" in found["answer"]


@pytest.mark.parametrize(
    "more",
    [
        (),
        ("--readings", "50; 16.7; 5.6 %"),
        ("--tap", "hardness=310 mg/L"),
        ("--efficiency", "60-80 %"),
    ],
)
def test_text_keeps_to_its_columns(more):
    result = run(*VOLUMES, *more)
    assert result.exit_code == 0
    assert max(map(len, result.stdout.splitlines())) <= 80


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--system", "12 L", "--drains", "13 L"), "more drains (13 L) than the system holds"),
        ((*VOLUMES, "--target", "0.5"), "can be 50 % or 0.5 %: write '50 %' or '0.5 %'"),
        ((*VOLUMES, "--target", "0 %"), "the residue wanted must lie between 0 and 100 %"),
        ((*VOLUMES, "--target", "1-2 %"), "must be a number, not a range"),
        ((*VOLUMES, "--efficiency", "0 %"), "mixing efficiency must be above 0"),
        ((*VOLUMES, "--readings", "50 %"), "two readings or more parted by ';'"),
        ((*VOLUMES, "--readings", "50 %; 300 uS/cm"), "all of glycol, or all of conductivity"),
        ((*VOLUMES, "--readings", "10; 9 uS/cm", "--water", "20 uS/cm"), "nothing to rinse out"),
        ((*VOLUMES, "--water", "20 uS/cm"), "of no use without the readings"),
        ((*VOLUMES, "--readings", "10; 50 %"), "the readings rise from 10 to 50 %"),
        ((*VOLUMES, "--readings", "50; nan %"), "--readings 'nan %': expected a number"),
        ((*VOLUMES, "--readings", "50; 17 %", "--water", "20 uS/cm"), "water by conductivity"),
        ((*VOLUMES, "--tap", "310 mg/L"), "expected name and value"),
        ((*VOLUMES, "--tap", "colour=3"), "--tap"),
        ((*VOLUMES, "--tap", "nitrite=3 mg/L"), "nothing that was given of the tap water"),
        ((*VOLUMES, "--tap", "hardness=310 mg/L", "--limits", "coolant_in_service"),
         "is for coolant, not for water"),
        ((*VOLUMES, "--tap", "hardness=310 mg/L", "--limits", "nowhere"), "nowhere"),
        (VOLUMES[:2], "Missing option '--drains'"),
    ],
)  # fmt: skip
def test_what_cannot_be_gets_one_clear_line(arguments, said):
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert said in result.stderr.splitlines()[-1]
    assert "Traceback" not in result.stderr


def test_a_log_of_rinses_says_the_same_as_readings_in_words(tmp_path):
    file = tmp_path / "rinses.csv"
    file.write_text(
        "Sample No,Conductivity\n,uS/cm\nbefore,2100\n1,760\n2,300\n3,150\n", encoding="utf-8"
    )
    from_file = answer(*VOLUMES, "--readings", str(file), "--water", "20 uS/cm")
    in_words = answer(*VOLUMES, "--readings", "2100; 760; 300; 150 uS/cm", "--water", "20 uS/cm")
    assert from_file == in_words


def test_a_log_that_is_not_there_is_one_line(tmp_path):
    result = run(*VOLUMES, "--readings", str(tmp_path / "none.csv"))
    assert result.exit_code == 2
    assert "none.csv" in result.stderr.splitlines()[-1]
    assert "Traceback" not in result.stderr
