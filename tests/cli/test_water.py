"""``chemcheck water``: from files and from quantities."""

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main

SAMPLES = Path(__file__).parents[2] / "sample_results"
# The worked example of tests/remedies/test_deionised_share.py ("computed here").
EXAMPLE = (
    "--ph", "7.6", "--hardness", "310 mg/L", "--chloride", "85", "--sulfate", "120",
    "--solids", "520",
)  # fmt: skip


def run(*arguments: str, stdin: bytes | None = None):
    return CliRunner().invoke(main, ["water", *arguments], input=stdin)


def flat(text: str) -> str:
    return " ".join(text.split())


def test_quantities_lead_with_set_then_verdict():
    result = run(*EXAMPLE, "--name", "kitchen tap")
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert lines[0].startswith("Judged against limit set fill_water_default (version ")
    said = flat(result.stdout)
    assert "This water must not be mixed with coolant concentrate as it is: " in said
    assert "chloride 85 ± " in said
    assert "at most 46 % tap water, where chloride (at most 40 mg/L) controls" in said
    assert "kitchen tap" in said
    assert max(map(len, lines)) <= 80


def test_ph_is_said_not_to_mix():
    without = [part for part in EXAMPLE if part not in ("--ph", "7.6")]
    assert "pH does not mix in proportion: measure it in the blend" in flat(run(*without).stdout)
    told = flat(run(*EXAMPLE).stdout)
    assert "The pH of that blend comes to" in told
    assert "Measure it in the blend." in told


def test_a_quantity_takes_its_unit_in_its_text():
    # 18 gpg (US) is 18 x 17.1181 = 308.13 mg/L as CaCO3.
    result = run("--hardness", "18 gpg", "--chloride", "<5", "--format", "json")
    [sample] = json.loads(result.stdout)["samples"]
    by_analyte = {one["analyte"]: one for one in sample["results"]}
    assert by_analyte["total_hardness"]["lower"] == pytest.approx(308.13, abs=0.01)
    assert (by_analyte["chloride"]["lower"], by_analyte["chloride"]["upper"]) == (0, 5)


def test_hardness_without_a_unit_is_set_aside_with_the_choices():
    result = run("--ph", "7.6", "--hardness", "310", "--chloride", "85")
    assert result.exit_code == 1
    assert result.stderr == (
        "set aside: options, column 'hardness': '310': no unit: total hardness is written in "
        "mg/L as CaCO3, mmol/L, dH, fH, gpg, Clark; say which behind the number\n"
    )


def test_json_of_the_worked_example():
    document = json.loads(run(*EXAMPLE, "--format", "json").stdout)
    assert document["schema"] == "chemcheck/water/1"
    assert set(document) >= {
        "version", "limit_sets", "assumptions", "cautions", "counts", "rejected", "questions",
    }  # fmt: skip
    [sample] = document["samples"]
    assert sample["verdict"] == "unfit"
    blend = sample["blend"]
    assert blend["tap_share_max"] == pytest.approx(39 / 84)
    assert blend["controlled_by"] == "chloride"
    assert round(blend["blended"]["sulfate"]["upper"]) == 56
    assert round(blend["blended"]["total_hardness"]["upper"]) == 145
    assert round(blend["blended"]["total_dissolved_solids"]["upper"]) == 244
    assert blend["tap_share_max_with_uncertainty"] < blend["tap_share_max"]
    assert sample["estimates"] == {}


def test_json_without_an_essential_promises_no_share():
    result = run("--ph", "7.6", "--hardness", "310 mg/L", "--chloride", "85", "--format", "json")
    [sample] = json.loads(result.stdout)["samples"]
    assert sample["blend"]["tap_share_max"] is None
    assert sample["verdict"] == "unfit"


def test_json_estimates_solids_from_conductivity():
    result = run(*EXAMPLE[:-2], "--conductivity", "800 uS/cm", "--format", "json")
    [sample] = json.loads(result.stdout)["samples"]
    estimate = sample["estimates"]["total_dissolved_solids"]
    assert (estimate["lower"], estimate["upper"], estimate["unit"]) == (400, 720, "mg/L")


def test_a_file_and_standard_input_give_the_same_counts():
    path = SAMPLES / "fill_water.csv"
    from_file = json.loads(run(str(path), "--format", "json").stdout)
    piped = json.loads(run("-", "--format", "json", stdin=path.read_bytes()).stdout)
    assert piped["counts"] == from_file["counts"]
    assert piped["samples"][0]["file"] == "-"


def test_counts_add_up():
    counts = json.loads(run(str(SAMPLES / "fill_water.csv"), "--format", "json").stdout)["counts"]
    assert counts["rows_read"] == (
        counts["samples"] + counts["duplicate_rows"] + counts["rejected_rows"]
    )
    assert counts["cells_read"] == sum(
        counts[f"cells_{part}"] for part in ("judged", "not_judged", "blank", "rejected")
    )
    assert counts["samples"] == counts["fit"] + counts["unfit"] + counts["undecided"]


def test_csv_has_a_row_for_every_water():
    result = run(str(SAMPLES / "fill_water.csv"), "--format", "csv")
    rows = list(csv.DictReader(result.stdout.splitlines()))
    document = json.loads(run(str(SAMPLES / "fill_water.csv"), "--format", "json").stdout)
    assert len(rows) == document["counts"]["samples"]
    first, same = rows[0], document["samples"][0]
    assert first["sample_id"] == same["sample_id"]
    assert float(first["tap_share_max"]) == pytest.approx(same["blend"]["tap_share_max"])
    assert first["controlled_by"] == same["blend"]["controlled_by"]


def test_a_set_of_your_own_decides():
    own = str(SAMPLES / "own_limits.yaml")
    document = json.loads(run(*EXAMPLE, "--limits", own, "--format", "json").stdout)
    assert document["limit_sets"][0]["id"] == "depot_fill_water"
    # Chloride at most 25, deionised water at most 1: 24/84.
    assert document["samples"][0]["blend"]["tap_share_max"] == pytest.approx(24 / 84)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (
            ("--hardness", ">400 mg/L"),
            "Use deionised water alone: total hardness (at most 170 mg/L as CaCO3) leaves no room",
        ),
        (
            ("--sulfate", "lots"),
            "unknown without a reading of sulfate; by what was read it is 46 %",
        ),
    ],
)
def test_what_is_said_of_the_blend(changes, said):
    assert said in flat(run(*EXAMPLE, *changes).stdout)


def test_a_reading_near_its_bound_is_given_room():
    # Chloride 39 is undecided beside 40; the blend that is surely inside holds some tap water.
    result = run("--ph", "7.6", "--hardness", "140 mg/L", "--chloride", "39", "--sulfate", "20",
                 "--solids", "280")  # fmt: skip
    said = flat(result.stdout)
    assert "is not decided: chloride 39 ± " in said
    assert "% tap water leaves room for the uncertainty of the readings (95 %)." in said


def test_too_soft_water_must_stay_in_part():
    # At least 0.36 mmol/L, 36.03 mg/L as CaCO3: 12.01 % of 300, so 13 in whole percent.
    result = run("--ph", "7.6", "--hardness", "300 mg/L", "--chloride", "20", "--sulfate", "20",
                 "--limits", "emulsion_oil_water")  # fmt: skip
    assert "At least 13 % of it must stay" in flat(result.stdout)


@pytest.mark.parametrize("arguments", [(), ("x.csv", "--ph", "7")])
def test_either_files_or_quantities(arguments):
    result = run(*arguments)
    assert result.exit_code == 2
    assert "error: give " in result.stderr


def test_out_writes_a_folder(tmp_path):
    out = tmp_path / "answer"
    result = run(str(SAMPLES / "fill_water.csv"), "--out", str(out))
    assert result.exit_code == 0
    assert result.stdout == ""
    assert {path.name for path in out.iterdir()} == {
        "verdicts.csv", "results.csv", "rejected.csv", "questions.csv", "blend.csv", "waters.csv",
        "summary.json", "report.html",
    }  # fmt: skip


def test_open_data(open_data):
    for name in ("wqx_usgs_36sites.csv", "wqx_rivers_timeseries.csv"):
        result = run(str(open_data / "wqx" / name), "--format", "json")
        assert result.exit_code in (0, 1)
        counts = json.loads(result.stdout)["counts"]
        assert counts["samples"] == counts["fit"] + counts["unfit"] + counts["undecided"]
        assert counts["samples"] > 30
