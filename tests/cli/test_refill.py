"""``chemcheck refill``: the worked examples, and one clear line for what cannot be."""

import csv
import json

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main
from chemcheck.limit_library import all_cautions
from tests.remedies.mixing import Vessel


def run(*arguments: str):
    return CliRunner().invoke(main, ["refill", *arguments])


def answer(*arguments: str):
    result = run(*arguments, "--format", "json")
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)


FLUSHED = ("--system", "12 L", "--drains", "8 L", "--target", "50 %")


def test_after_a_flush():
    # Worked example (computed here): 6 L of concentrate and 2 L of deionised water.
    found = answer(*FLUSHED)
    assert found["schema"] == "chemcheck/refill/1"
    assert (found["concentrate_l"], found["water_l"], found["feasible"]) == (6.0, 2.0, True)
    assert found["reachable_percent"] == pytest.approx(66.7, abs=0.05)
    for key in ("hot_system", "glycol_is_poison", "disposal", "maker_and_local_rules"):
        assert all_cautions()[key].text in found["cautions"]


def test_what_stays_inside_instead_of_what_drains():
    assert answer("--system", "12 L", "--holds", "4 L", "--target", "50 %")["water_l"] == 2.0
    assert answer("--drains", "8 L", "--holds", "4 L", "--target", "50 %")["concentrate_l"] == 6.0


def test_too_little_drains():
    # Worked example (computed here): 41.7 % at the most.
    found = answer("--system", "12 L", "--drains", "5 L", "--target", "50 %")
    assert (found["feasible"], found["passes"]) == (False, 2.0)
    assert found["reachable_percent"] == pytest.approx(41.7, abs=0.05)
    said = run("--system", "12 L", "--drains", "5 L", "--target", "50 %").stdout
    assert "One filling cannot reach 50 %: it comes to 41.7 % at the most" in said
    assert "open the block's drain" in " ".join(said.split())


def test_the_trap_of_ready_mix_after_a_flush():
    # Worked example (computed here): ready mix of 50 % ends up at 33 %.
    found = answer(*FLUSHED, "--premix", "50 %")
    assert found["reachable_percent"] == pytest.approx(33.3, abs=0.05)
    assert not found["feasible"]
    assert "Ready mix of 50 % ends up at 33.3 %, not at 50 %" in found["answer"]
    assert (found["concentrate_l"], found["premix_l"]) == (4.0, 4.0)


def test_the_trap_is_named_before_anyone_steps_into_it():
    # Worked example (computed here): ready mix of 50 % would end up at 33 %.
    found = answer(*FLUSHED)
    assert found["ready_mix_percent"] == pytest.approx(33.3, abs=0.05)
    assert (
        "onto the 4 L of rinse water that stay inside it would end up at 33.3 %"
        in (found["answer"])
    )
    vessel = Vessel.of(4.0)
    vessel.add(8.0, glycol=50.0)
    assert vessel.level("glycol") == pytest.approx(found["ready_mix_percent"])
    empty = answer("--system", "12 L", "--drains", "12 L", "--target", "50 %")
    assert empty["ready_mix_percent"] is None
    assert "ready mix" not in empty["answer"]


def test_rinse_water_is_counted_in_the_water_of_the_fill():
    # 4 L stay inside and 2 L are filled: two thirds.
    assert answer(*FLUSHED)["held_water_percent"] == pytest.approx(200.0 / 3.0)
    assert "67 % of its water" in " ".join(run(*FLUSHED).stdout.split())


def test_where_ready_mix_and_concentrate_will_not_do_at_once():
    found = answer("--system", "12 L", "--drains", "5 L", "--target", "50 %", "--premix", "50 %")
    assert found["passes"] == 2.0
    assert [plan["concentrate_l"] for plan in found["plans"]] == [5.0, 5.0]
    vessel = Vessel.of(12.0)
    vessel.drain(5.0)
    vessel.add(5.0, glycol=100.0)
    # Worked example (computed here): 41.7 % after the first.
    assert vessel.level("glycol") == pytest.approx(41.7, abs=0.05)
    vessel.drain(found["last_pass_l"])
    vessel.add(found["last_pass_l"], glycol=100.0)
    assert vessel.level("glycol") == pytest.approx(50.0)


def test_ready_mix_that_would_end_up_too_strong_goes_in_with_water():
    # By hand: 12 L at 30 % hold 3.6 L, which are 7.2 L of 50 %; 0.8 L are left of the 8 L.
    found = answer(*FLUSHED[:4], "--target", "30 %", "--premix", "50 %")
    assert (found["premix_l"], found["water_l"]) == pytest.approx((7.2, 0.8))
    assert found["finished_percent"] == pytest.approx(30.0)
    assert found["feasible"]
    rich = ("--system", "12 L", "--drains", "3 L", "--current", "60 %", "--target", "10 %")
    assert "comes to 45 % at the least" in answer(*rich, "--premix", "50 %")["answer"]


def test_ready_mix_strengthened_reaches_the_target_at_once():
    found = answer(*FLUSHED, "--premix", "50 %")
    assert found["passes"] == 1.0
    said = " ".join(run(*FLUSHED, "--premix", "50 %").stdout.split())
    assert "not in one filling" not in said


@pytest.mark.parametrize(("strength", "litres"), [("100 %", 2.31), ("93 %", 2.59)])
def test_strengthen(strength, litres):
    # Worked example (computed here).
    found = answer(
        "--system", "10 L", "--current", "35 %", "--target", "50 %", "--concentrate", strength
    )  # fmt: skip
    assert found["concentrate_l"] == pytest.approx(litres, abs=0.005)
    assert (found["water_l"], found["way"]) == (0.0, "adjust")
    assert [plan["way"] for plan in found["plans"]] == ["adjust", "change"]


def test_thin():
    found = answer("--system", "10 L", "--current", "60 %", "--target", "50 %")
    assert found["concentrate_l"] == 0.0
    assert found["water_l"] == pytest.approx(10 / 6)


def test_held_volume_by_readings():
    # Worked example (computed here): 4.0 L.
    found = answer(*FLUSHED, "--readings", "50; 16.7 %")
    assert found["held_measured_l"] == pytest.approx(4.0, abs=0.05)
    ends = found["intervals"]["held_measured_l"]
    assert ends["lower"] < 3.0 < 5.0 < ends["upper"]
    assert found["questions"] == []
    other = answer("--system", "30 L", *FLUSHED[2:], "--readings", "50; 16.7 %")
    assert "is the system's volume right?" in other["questions"][0]


def test_what_drains_by_readings_is_as_uncertain_as_they_are():
    # 50 to 16.7 %: a third stays, with 0.031 of uncertainty by the law of propagation,
    # 1.5 sqrt(50^2 + 16.7^2) / 50^2 (JCGM 100, 5.1.2; 1.5 vol% from memory), twice of it.
    found = answer("--system", "12 L", "--target", "50 %", "--readings", "50; 16.7 %")
    assert found["held_l"] == pytest.approx(4.0, abs=0.05)
    ends = found["intervals"]["held_l"]
    half = 1.96 * 12.0 * 1.5 * (50.0**2 + 16.7**2) ** 0.5 / 50.0**2
    assert (ends["upper"] - ends["lower"]) / 2.0 == pytest.approx(half, rel=1e-6)


def test_a_range_of_volumes_gives_ranges():
    ends = answer("--system", "11-13 L", *FLUSHED[2:])["intervals"]
    assert ends["concentrate_l"] == {"lower": 5.5, "upper": 6.5}
    assert ends["finished_percent"]["lower"] < 50 < ends["finished_percent"]["upper"]


def test_what_it_comes_to_is_judged_as_a_sample_is():
    # 50 % of concentrate are 45.6 to 48.4 vol% of glycol (92 to 97 % by mass, memory).
    found = answer(*FLUSHED)["finished_fill"]
    assert found["states"]["glycol"] == "inside"
    thin = answer("--system", "12 L", "--drains", "3 L", "--target", "50 %")
    # A quarter of concentrate: at most 24.2 vol%, below the 33 of the working value (memory).
    assert thin["finished_fill"]["states"]["glycol"] == "outside"
    assert thin["finished_fill"]["verdict"] == "unfit"
    said = run("--system", "12 L", "--drains", "3 L", "--target", "50 %").stdout
    assert "The finished fill, judged" in said
    assert found["verdict"] == "undecided"
    assert answer(*FLUSHED)["limit_sets"][0]["id"] == "coolant_in_service"


def test_csv_holds_every_number():
    result = run(*FLUSHED, "--format", "csv")
    rows = {row["quantity"]: row for row in csv.DictReader(result.stdout.splitlines())}
    assert float(rows["concentrate_l"]["value"]) == 6.0
    assert rows["concentrate_l"]["unit"] == "L"


@pytest.mark.parametrize("more", [(), ("--premix", "50 %"), ("--readings", "50; 16.7 %")])
def test_text_keeps_to_its_columns(more):
    result = run(*FLUSHED, *more)
    assert result.exit_code == 0
    assert max(map(len, result.stdout.splitlines())) <= 80


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--system", "12 L", "--drains", "13 L", "--target", "50 %"),
         "more drains (13 L) than the system holds (12 L)"),
        ((*FLUSHED[:4], "--target", "96 %", "--concentrate", "95 %"),
         "the target is above the strength of the concentrate"),
        ((*FLUSHED[:4], "--target", "0.5"), "--target '0.5' can be 50 % or 0.5 %"),
        ((*FLUSHED[:4], "--target", "fifty"), "--target 'fifty': expected a number"),
        (("--target", "50 %"), "the system's volume is not known"),
        (("--system", "12 L", "--target", "50 %"), "how much drains is not known"),
        ((*FLUSHED, "--holds", "6 L"), "14 L together, not the system's 12 L"),
        ((*FLUSHED, "--readings", "20; 50 %"), "nothing was diluted"),
        ((*FLUSHED, "--readings", "<50; <3 %"), "before draining may be zero"),
        ((*FLUSHED, "--premix", "50 %", "--way", "adjust"), "leave --way adjust out"),
        ((*FLUSHED, "--readings", "50; 20; 10 %"), "--readings takes two"),
        (("--system", "12 L", "--target", "50 %", "--readings", "50; 48 %"),
         "the two readings are too close to say what drains"),
        (("--system", "12 L", "--holds", "12 L", "--target", "50 %"),
         "more stays inside than the system holds"),
    ],
)  # fmt: skip
def test_what_cannot_be_gets_one_clear_line(arguments, said):
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert said in result.stderr.splitlines()[-1]
    assert "Traceback" not in result.stderr
