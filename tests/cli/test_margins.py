"""``chemcheck margins``: the worked examples, readings that disagree, bad input."""

import json

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main
from chemcheck.limit_library import all_cautions

HALF = ("--glycol", "ethylene", "--glycol-percent", "50 %")


def run(*arguments: str):
    return CliRunner().invoke(main, ["margins", *arguments])


def answer(*arguments: str):
    result = run(*arguments, "--format", "json")
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)


@pytest.mark.parametrize(
    ("more", "boils"),
    # Worked example (computed here).
    [
        ((), 107.8),
        (("--altitude", "2500 m"), 99.1),
        (("--cap", "103 kPa"), 129.7),
        (("--altitude", "2500 m", "--cap", "103 kPa"), 125.1),
    ],
)
def test_boiling_point(more, boils):
    found = answer(*HALF, *more)
    assert found["schema"] == "chemcheck/margins/1"
    assert found["boil_c"] == pytest.approx(boils, abs=0.06)
    # Makers: 50 % coolant freezes at -37 C (published); free of additives -39.8 (library).
    assert found["freeze_c"] == pytest.approx(-37, abs=0.3)
    assert found["intervals"]["freeze_c"]["lower"] == pytest.approx(-39.8, abs=0.1)


@pytest.mark.parametrize(("altitude", "cap", "dead"), [("0 m", 12.1, 1.7), ("2500 m", 9.4, -1.0)])
def test_head_at_the_pump(altitude, cap, dead):
    # Worked example (computed here), with a lighter density than the table's: within 2 %.
    found = answer(
        *HALF, "--cap", "103 kPa", "--altitude", altitude, "--inlet-temperature", "95 C",
        "--suction-loss", "20 kPa",
    )  # fmt: skip
    assert found["pump_inlet_margin_m"] == pytest.approx(cap, rel=0.02)
    states = {one["state"]: one for one in found["caps"]}
    assert list(states) == ["rated", "weak", "dead"]
    assert states["dead"]["pump_inlet_margin_m"] == pytest.approx(dead, abs=0.06)
    assert states["dead"]["boil_c"] < states["weak"]["boil_c"] < states["rated"]["boil_c"]


def test_water_in_place_of_the_mix():
    # Worked example (computed here): -0.35 m at 95 C with a dead cap.
    found = answer(
        "--glycol", "EG", "--glycol-percent", "0 %", "--inlet-temperature", "95 C",
        "--suction-loss", "20 kPa",
    )  # fmt: skip
    assert found["pump_inlet_margin_m"] == pytest.approx(-0.35, abs=0.01)
    assert found["vapour_pressure_kpa"] == pytest.approx(84.6, abs=0.1)


@pytest.mark.parametrize(("cap", "number"), [(("--cap", "103 kPa"), 1.04), ((), 0.22)])
def test_cavitation_number(cap, number):
    # Worked example (computed here): 60 mm at 5000 rpm, 90 C, 20 kPa.
    found = answer(
        *HALF, *cap, "--inlet-temperature", "90 C", "--suction-loss", "20 kPa", "--impeller",
        "60 mm", "--speed", "5000 rpm",
    )  # fmt: skip
    assert found["cavitation_number"] == pytest.approx(number, rel=0.02)


def test_against_the_coldest():
    found = answer(*HALF, "--coldest", "-30 C")
    assert found["cold_margin_c"] == pytest.approx(7.1, abs=0.1)
    assert found["needed_percent"] == pytest.approx(44.6, abs=0.3)
    assert found["ice_percent"] == 0.0
    assert answer(*HALF, "--coldest", "-22 F")["cold_margin_c"] == pytest.approx(7.1, abs=0.1)


def test_a_bare_coldest_temperature_is_celsius_and_says_so():
    found = answer(*HALF, "--coldest", "-30")
    assert found["cold_margin_c"] == pytest.approx(7.1, abs=0.1)
    assert any("-30, counts deg C" in one for one in found["assumptions"])


def test_litres_to_swap():
    found = answer(
        "--glycol", "EG", "--glycol-percent", "35 %", "--coldest", "-37.1 C", "--system", "10 L"
    )
    # Worked example (computed here): 35 to 50 % takes 2.31 L of 10.
    assert found["needed_percent"] == pytest.approx(50.0, abs=0.1)
    assert found["swap_l"] == pytest.approx(2.31, abs=0.02)
    assert all_cautions()["disposal"].text in found["cautions"]
    said = " ".join(
        run("--glycol", "EG", "--glycol-percent", "35 %", "--coldest", "-37 C").stdout.split()
    )
    assert "it turns to slush" in said
    assert "What keeps a block from bursting is colder" in said


BURST = ("--burst", "40 %=-35 C", "--burst", "50 %=-51 C")


def test_burst_protection_comes_from_the_makers_table_alone():
    found = answer(*HALF, *BURST, "--coldest", "-45 C")
    assert found["burst_c"] == -51.0
    assert found["burst_margin_c"] == 6.0
    # Slush all the same: the two are kept apart.
    assert found["cold_margin_c"] < 0.0
    assert "nothing bursts down to -51 C, 6 C below that" in found["answer"]
    assert "it turns to slush" in found["answer"]
    without = answer(*HALF, "--coldest", "-45 C")
    assert "burst_c" not in without
    assert any("enter the maker's table" in one for one in without["to_do"])


def test_burst_protection_between_and_beyond_the_lines_of_the_table():
    between = answer("--glycol", "EG", "--glycol-percent", "45 %", *BURST)
    assert between["burst_c"] == pytest.approx(-43.0)
    beyond = answer("--glycol", "EG", "--glycol-percent", "55 %", *BURST)
    assert beyond["burst_c"] is None
    assert any("outside the maker's table" in one for one in beyond["questions"])


def test_a_freezing_column_entered_as_bursting_is_asked_about():
    # Makers: 50 % freezes at -37 C (published).
    found = answer(*HALF, "--burst", "40 %=-24 C", "--burst", "50 %=-36.5 C")
    assert any("not below the freezing point" in one for one in found["questions"])


def test_a_block_that_may_burst_is_told():
    assert "the block may burst" in answer(*HALF, *BURST, "--coldest", "-60 C")["answer"]


def test_by_mass():
    # 50 mass% of ethylene glycol are 47.6 vol% (library: egasp) or 47.3 by densities.
    found = answer("--glycol", "EG", "--glycol-percent", "50 mass%")
    assert found["glycol_percent"] == pytest.approx(47.6, abs=0.05)
    assert found["intervals"]["glycol_percent"]["lower"] == pytest.approx(47.3, abs=0.1)


def test_readings_that_agree():
    found = answer("--glycol", "EG", "--freezing-point", "-37 C", "--brix", "34")
    assert [one["method"] for one in found["readings"]] == ["freezing point", "Brix"]
    assert not any("exclude each other" in one for one in found["questions"])


def test_readings_that_exclude_each_other_are_told():
    found = answer("--glycol", "EG", "--freezing-point", "-20 C", "--density", "1.075")
    assert any("exclude each other" in one for one in found["questions"])
    ends = found["intervals"]["glycol_percent"]
    assert ends["lower"] < 36 < 48 < ends["upper"]


def test_the_wrong_scale_and_the_second_share_are_asked_about():
    found = answer("--glycol", "EG", "--freezing-point", "-37 C")
    asked = " ".join(found["questions"])
    assert "if the coolant is propylene glycol, it freezes at -28 C" in asked
    assert "About 85 vol% freezes there as well" in asked
    turned = answer("--glycol", "PG", "--freezing-point", "-37 C", "--scale", "EG")
    assert turned["freeze_c"] == pytest.approx(-28, abs=1)


def test_unknown_glycol_holds_both():
    found = answer("--glycol-percent", "50 %")
    assert found["glycols"] == ["ethylene_glycol", "propylene_glycol"]
    ends = found["intervals"]["freeze_c"]
    assert ends["lower"] < -39 < -34 < ends["upper"]


def test_models_of_propylene_glycol_are_owned_up_to():
    # library: thermo 0.6.1: 101.5 to 106.0 C at 50 vol%.
    found = answer("--glycol", "propylene", "--glycol-percent", "50 %")
    assert found["intervals"]["boil_c"]["lower"] == pytest.approx(101.5, abs=0.1)
    assert found["boil_c"] == pytest.approx(106.0, abs=0.1)
    assert any("count on the lower end" in one for one in found["questions"])


def test_too_much_glycol_is_told():
    found = answer("--glycol", "EG", "--glycol-percent", "65 %")
    assert found["uncertain"] is True
    assert any("Above 60 vol%" in one for one in found["questions"])


def test_the_rule_for_caps_is_shown_for_what_it_is():
    found = answer(*HALF, "--cap", "15 psi")
    # 3 F a psi above the open boiling point: 45 F, 25 C.
    assert found["boil_by_rule_c"] == pytest.approx(found["open_boil_c"] + 25.0, abs=0.01)
    # By the curve of this answer itself, in degrees Fahrenheit a psi.
    slope = 1.8 * (found["boil_c"] - found["open_boil_c"]) / 15.0
    assert f"That gives {slope:.1f} F a psi here" in found["answer"]


def test_a_dead_cap_costs_boiling_head_and_temperature():
    found = answer(*HALF, "--cap", "103 kPa", "--inlet-temperature", "95 C")
    rated, _, dead = found["caps"]
    boils = rated["boil_c"] - dead["boil_c"]
    head = rated["pump_inlet_margin_m"] - dead["pump_inlet_margin_m"]
    ends = rated["margin_ends_c"] - dead["margin_ends_c"]
    assert f"A dead cap costs {boils:.3g} C of boiling point and {head:.3g} m" in found["answer"]
    assert f"the pump's margin ends {ends:.3g} C sooner" in found["answer"]
    # 103 kPa over the weight of a metre of coolant at 95 C (library: 1.0101 kg/L by chemicals).
    assert head == pytest.approx(103.0 / (1.0101 * 9.80665), rel=0.02)


def test_a_cap_of_nothing_is_a_dead_one():
    found = answer(*HALF, "--cap", "0 psi")
    assert found["boil_c"] == found["open_boil_c"]
    assert "A dead cap costs" not in found["answer"]
    assert any("--cap" in one for one in answer(*HALF)["to_do"])


def test_a_cap_that_opens_above_its_rating_is_asked_about():
    found = answer(*HALF, "--cap", "15 psi", "--cap-opens", "20 psi")
    assert any("above its rating" in one for one in found["questions"])
    sound = answer(*HALF, "--cap", "15 psi", "--cap-opens", "12 psi")
    assert not any("above its rating" in one for one in sound["questions"])


def test_where_it_freezes_is_not_said_where_nobody_knows():
    # Above 68 vol% the freezing point rises again (memory).
    found = answer("--glycol", "EG", "--glycol-percent", "75 %")
    assert found["freeze_c"] is None
    assert "where it freezes is not known" in found["answer"]


def test_pump_side_is_asked_for_and_told():
    assert any("Which side" in one for one in answer(*HALF)["questions"])
    more = ("--pump-side", "radiator", "--inlet-temperature", "85 C")
    found = answer(*HALF, *more)
    assert not any("Which side" in one for one in found["questions"])
    assert "drawn from the radiator's outlet" in found["answer"]


@pytest.mark.parametrize("form", ["png", "svg"])
def test_a_chart_is_drawn(form, tmp_path):
    path = tmp_path / f"margins.{form}"
    result = run(*HALF, "--cap", "15 psi", "--inlet-temperature", "95 C", "--chart", str(path))
    assert result.exit_code == 0
    content = path.read_bytes()
    assert len(content) > 5000
    assert content.startswith(b"\x89PNG") if form == "png" else b"<svg" in content
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize(
    "more",
    [
        (),
        (
            "--cap",
            "15 psi",
            "--inlet-temperature",
            "95 C",
            "--coldest",
            "-40 C",
            "--system",
            "12 L",
        ),
        ("--freezing-point", "-30 C", "--brix", "33"),
    ],
)
def test_text_keeps_to_its_columns(more):
    result = run(*HALF, *more)
    assert result.exit_code == 0
    assert max(map(len, result.stdout.splitlines())) <= 80


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--glycol", "EG+PG", "--glycol-percent", "50 %"), "a mixture of both glycols is refused"),
        (("--glycol", "mixed", "--glycol-percent", "50 %"), "a mixture of both glycols is refused"),
        (("--glycol", "glycerol", "--glycol-percent", "50 %"), "no glycol known here"),
        (("--glycol", "EG", "--glycol-percent", "0.5"), "can be 50 % or 0.5 %"),
        (("--glycol", "EG"), "nothing is known of the coolant"),
        (("--glycol", "EG", "--glycol-percent", "97 %"), "it is concentrate and no coolant"),
        (("--glycol", "EG", "--freezing-point", "-34"), "can be C or F"),
        (("--glycol", "EG", "--refractive-index", "1.5"), "fits no share from 0 to 60 vol%"),
        (("--glycol", "EG", "--density", "1.5"), "is no density of a coolant"),
        ((*HALF, "--scale", "PG"), "--scale belongs to --freezing-point"),
        ((*HALF, "--basis", "brand"), "is no basis of a percent"),
        ((*HALF, "--cap", "205 kPa"), "is high for a cap: write '104 kPa' if it is absolute"),
        ((*HALF, "--cap", "204 kPa abs"), "is absolute, and a cap is rated above the air's"),
        ((*HALF, "--altitude", "-600 m"), "below the shores of the Dead Sea"),
        ((*HALF, "--altitude", "0 m", "--ambient-pressure", "98 kPa"), "not both"),
        ((*HALF, "--inlet-temperature", "150 C"), "must lie between 0 and 130 C"),
        ((*HALF, "--impeller", "60 mm"), "takes both --impeller and --speed"),
        ((*HALF, "--cap-opens", "8 psi"), "--cap-opens needs the rating as well"),
        ((*HALF, "--coldest", "50 C"), "is above 40 C"),
        ((*HALF, "--burst", "-51 C"), "expected the percent and the temperature"),
        ((*HALF, "--burst", "50 %=-51"), "can be C or F"),
        ((*HALF, *BURST, "--burst", "50 %=-52 C"), "a percent stands twice"),
        ((*HALF, "--burst", "40 %=-51 C", "--burst", "50 %=-35 C"), "are the signs right?"),
        ((*HALF, "--chart", "margins.pdf"), "ends in .png or .svg"),
        ((*HALF, "--suction-loss", "-5 kPa"), "the suction loss cannot be below zero"),
    ],
)
def test_what_cannot_be_gets_one_clear_line(arguments, said):
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert said in result.stderr.splitlines()[-1]
    assert "Traceback" not in result.stderr
