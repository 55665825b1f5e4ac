"""``chemcheck water`` in a system: softening, scale, and the water held back by a rinse."""

import csv
import json

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main
from chemcheck.limit_library import all_cautions

# Without a pH no index is searched for, which would take its time.
WATER = ("--chloride", "20", "--sulfate", "20")
SAMPLED = (
    "--ph", "7.6", "--sodium", "20", "--potassium", "2", "--temperature", "15 C",
    "--temperatures", "25",
)  # fmt: skip


def run(*arguments: str):
    return CliRunner().invoke(main, ["water", *WATER, *arguments])


def sample(*arguments: str):
    result = run(*arguments, "--format", "json")
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)["samples"][0]


def text(*arguments: str) -> str:
    result = run(*arguments)
    assert result.exit_code == 0, result.stderr
    return " ".join(result.stdout.split())


def test_deposit_of_the_worked_example():
    # "Computed here": 40 L, half water at 300 mg/L: 6.0 g; 26 L of top-ups 7.8 g; 13.8 g on
    # 500 cm2: 0.10 mm; at 200 kW/m2 10 C (2 W/(m K)) to 20 C (1 W/(m K)).
    given = (
        "--hardness", "300 mg/L", "--alkalinity", "320 mg/L", "--system", "40 L",
        "--top-ups", "26 x 1 L", "--loss", "evaporation", "--hot-area", "500 cm2",
        "--heat-flux", "200 kW/m2",
    )  # fmt: skip
    deposit = sample(*SAMPLED, *given)["deposit"]
    assert deposit["from_fill_g"] == pytest.approx(6.0)
    assert deposit["from_top_ups_g"] == pytest.approx(7.8)
    assert deposit["mass_g"] == pytest.approx(13.8)
    assert deposit["thickness_mm"] == pytest.approx(0.10, abs=0.005)
    assert deposit["temperature_rise_c"]["lower"] == pytest.approx(10.0, abs=0.5)
    assert deposit["temperature_rise_c"]["upper"] == pytest.approx(20.0, abs=0.5)
    assert deposit["bounded_by"] == "carbonate_hardness"
    assert deposit["water_alone_g"]["upper"] <= deposit["mass_g"]
    said = text(*given)
    assert "One fill can leave 6 g of scale" in said
    assert "no prediction for inhibited coolant" in said


def test_leak_and_evaporation_are_kept_apart():
    given = ("--hardness", "300 mg/L", "--system", "40 L", "--top-ups", "26 L")
    unsaid, leak = sample(*given)["deposit"], sample(*given, "--loss", "leak")["deposit"]
    assert unsaid["mass_g"] == leak["mass_g"]["upper"] == pytest.approx(13.8)
    assert leak["mass_g"]["lower"] == pytest.approx(8.87, abs=0.01)
    assert unsaid["bounded_by"] == "total_hardness"
    assert unsaid["thickness_mm"] is None
    assert "find out whether it leaked or evaporated" in text(*given)
    assert "find out whether" not in text(*given, "--loss", "leak")


def test_water_held_back_of_the_worked_example():
    # "Computed here": 207 mg/L in the finished fill's water, 69 after one deionised rinse; the
    # deionised water allowed for here brings up to 2 mg/L of its own.
    hold_up = sample("--hardness", "310 mg/L", "--system", "12 L", "--drains", "8 L")["hold_up"]
    assert (hold_up["held_l"], hold_up["added_l"]) == (4.0, 2.0)
    assert hold_up["without_rinse"]["total_hardness"]["lower"] == pytest.approx(207, abs=0.5)
    assert hold_up["after_rinses"]["total_hardness"]["lower"] == pytest.approx(69, abs=0.5)
    assert (hold_up["deionised_rinses"], hold_up["controlled_by"]) == (1, "total_hardness")
    assert hold_up["meets_bounds"] is False
    said = text("--hardness", "310 mg/L", "--system", "12 L", "--drains", "8 L")
    assert "Make the last rinse of deionised water" in said


def test_an_essential_that_was_not_read_promises_nothing():
    result = CliRunner().invoke(
        main,
        ["water", "--hardness", "100 mg/L", "--system", "12 L", "--drains", "8 L", "--format",
         "json"],
    )  # fmt: skip
    hold_up = json.loads(result.stdout)["samples"][0]["hold_up"]
    assert hold_up["meets_bounds"] is None
    assert hold_up["deionised_rinses"] is None


def test_the_blend_has_a_ph_by_equilibrium():
    given = ("--hardness", "310 mg/L", "--alkalinity", "240 mg/L", *SAMPLED)
    ph = sample(*given)["blend"]["ph"]
    # Carbon dioxide beyond that of air leaves an open water, and its pH rises.
    assert 7.2 < ph["closed"]["lower"] <= ph["closed"]["upper"] < ph["open_to_air"]["lower"] < 9.0
    said = text(*given)
    assert "once it has stood open to air, inside 5.5 to 9." in said
    assert "pH does not mix in proportion" not in said
    assert sample(*SAMPLED, "--hardness", "50 mg/L")["blend"]["ph"] is None


def test_a_softener_mends_hardness_alone():
    softening = sample("--hardness", "310 mg/L")["softening"]
    assert softening["mends"] == ["total_hardness"]
    assert softening["leaves"] == []
    assert softening["sodium_added_mg_per_l"]["upper"] == pytest.approx(310 * 0.4594, rel=1e-3)
    salty = text("--hardness", "100 mg/L", "--chloride", "90")
    assert "A softener does not help: chloride would stay." in salty


def test_pure_water_is_never_to_run_alone():
    pure = text("--hardness", "<1 mg/L", "--conductivity", "2 uS/cm")
    assert "What pure water lacks" in pure
    assert "What pure water lacks" not in text("--hardness", "100 mg/L", "--conductivity", "300")
    assert " ".join(all_cautions()["pure_water"].text.split()) in pure


def test_without_a_system_nothing_is_reckoned_for_one():
    found = sample("--hardness", "310 mg/L")
    assert found["deposit"] is None
    assert found["hold_up"] is None
    assert "In this system" not in text("--hardness", "310 mg/L")


def test_many_waters_say_the_same_in_a_file_and_alone():
    file = json.loads(
        CliRunner()
        .invoke(
            main,
            ["water", "sample_results/fill_water.csv", "--system", "12 L", "--drains", "8 L",
             "--temperatures", "25", "--format", "json"],
        )
        .stdout
    )  # fmt: skip
    first = next(one for one in file["samples"] if one["sample_id"] == "W-002")
    # W-002: hardness 358, alkalinity 278, chloride 29.3, sulfate 70, solids 454 mg/L.
    assert first["deposit"]["mass_g"] == pytest.approx(0.278 * 6.0)
    assert first["softening"]["leaves"] == ["total_dissolved_solids"]
    held = first["hold_up"]["without_rinse"]["total_hardness"]["lower"]
    assert held == pytest.approx(358 * 4 / 6, rel=1e-4)


def test_csv_has_a_column_for_each_figure():
    result = CliRunner().invoke(
        main,
        ["water", "sample_results/fill_water.csv", "--system", "12 L", "--drains", "8 L",
         "--hot-area", "500 cm2", "--heat-flux", "200 kW/m2", "--format", "csv"],
    )  # fmt: skip
    rows = {row["sample_id"]: row for row in csv.DictReader(result.stdout.splitlines())}
    # W-002: hardness 358, alkalinity 278, solids 454 mg/L; half of 12 L is water.
    assert float(rows["W-002"]["scale_g"]) == pytest.approx(0.278 * 6.0)
    assert float(rows["W-002"]["scale_mm"]) == pytest.approx(1.668 / 2.71 / 500 * 10, rel=1e-3)
    assert rows["W-002"]["softener_mends"] == "total_hardness"
    assert rows["W-002"]["softener_leaves"] == "total_dissolved_solids"
    assert float(rows["W-002"]["deionised_rinses"]) == 1
    assert rows["W-003"]["softener_mends"] == rows["W-003"]["rinses_controlled_by"] == ""


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--hot-area", "500 cm2"), "--hot-area needs --system"),
        (("--system", "12 L", "--heat-flux", "200 kW/m2"), "--heat-flux needs --hot-area"),
        (("--system", "12"), "'12' states no unit"),
        (("--system", "12 L", "--drains", "13 L"), "more drains"),
        (("--system", "12 L", "--hot-area", "500 L"), "--hot-area '500 L'"),
        (("--system", "12 L", "--top-ups", "lots"), "--top-ups 'lots'"),
        (("--system", "12 L", "--loss", "thirst"), "'thirst' is not one of"),
        (("--system", "12 L", "--hot-area", "0 cm2"), "the hot area must be above 0"),
    ],
)
def test_bad_input_is_one_line(arguments, said):
    result = run("--hardness", "300 mg/L", *arguments)
    assert result.exit_code == 2
    assert said in result.stderr
    assert "Traceback" not in result.stderr
