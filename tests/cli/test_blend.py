"""``chemcheck blend``: the worked example, impossible mixtures, files, and lines for bad input."""

import csv
import json

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main
from chemcheck.limit_library import all_cautions

# Worked example ("computed here"): tap and deionised water against 40 / 100 / 170 / 340.
TAP = "tap=pH=7.6; hardness=310 mg/L; alkalinity=240 mg/L; Cl=85; SO4=120; TDS=520"


def run(*sources: str, more: tuple[str, ...] = ()):
    given = [part for source in sources for part in ("--source", source)]
    return CliRunner().invoke(main, ["blend", *given, *more])


def answer(*sources: str, more: tuple[str, ...] = ()):
    result = run(*sources, more=("--format", "json", *more))
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)


def test_worked_example():
    found = answer(f"{TAP}:0.002", "deionised:0.5")
    assert found["schema"] == "chemcheck/blend/1"
    assert found["limit_sets"][0]["id"] == "fill_water_default"
    # 46 % tap: chloride 40, sulfate 56, hardness 145, solids 244; chloride controls.
    assert found["tap_share_max"] == pytest.approx(39 / 84)
    assert found["controlled_by"] == "chloride"
    assert found["shares"] == pytest.approx({"tap": 39 / 84, "deionised": 45 / 84})
    assert found["cost_per_litre"] == pytest.approx((39 * 0.002 + 45 * 0.5) / 84)
    held = {key: round(value["upper"]) for key, value in found["blended"].items() if key != "ph"}
    assert held == {
        "chloride": 40, "sulfate": 56, "total_hardness": 145, "total_dissolved_solids": 244,
        "total_alkalinity": 112,
    }  # fmt: skip
    assert all_cautions()["pure_water"].text in found["cautions"]


def test_the_mixture_is_judged_as_a_sample():
    found = answer(TAP, "deionised")
    # At the bound nothing is left for the methods' uncertainty; with room everything is inside.
    states = {one["analyte"]: one["state"] for one in found["results"]}
    assert found["verdict"] == "undecided"
    assert states["chloride"] == "undecided"
    assert states["ph"] == "inside"
    assert found["with_uncertainty"]["verdict"] == "fit"
    assert 0.3 < found["with_uncertainty"]["shares"]["tap"] < 39 / 84
    assert answer(TAP, "deionised", more=("--rule", "simple"))["verdict"] == "fit"


def test_ph_closed_and_open_to_air():
    tap = TAP.replace("; TDS=520", "")
    ph = answer(tap, "deionised")["ph"]
    # A water with carbon dioxide beyond that of air loses it, and its pH rises.
    assert ph["closed"]["upper"] < ph["open_to_air"]["lower"]
    # Without the alkalinity it lies between what the charge balance leaves: wider, and said so.
    found = answer(tap.replace("alkalinity=240 mg/L; ", ""), "deionised")
    assert found["ph"]["closed"]["lower"] <= ph["closed"]["lower"]
    assert found["ph"]["closed"]["upper"] >= ph["closed"]["upper"]
    assert any("alkalinity of tap" in line for line in found["assumptions"])


def test_a_mixture_without_ph_is_not_fit():
    # pH is an essential of the set: what was not reckoned is missing.
    found = answer(TAP.replace("pH=7.6; ", ""), "deionised")
    assert "cannot be reckoned without a usable pH of tap" in " ".join(found["questions"])
    assert found["with_uncertainty"]["verdict"] == "undecided"
    assert "no usable reading of pH" in found["with_uncertainty"]["because"]


@pytest.mark.parametrize(
    ("water", "said"),
    [
        # Cations 7.1 meq/L, anions 9.7.
        (
            "pH=7.6; hardness=310 mg/L; alkalinity=240 mg/L; Ca=96; Mg=17; Na=20; K=2; Cl=85; "
            "SO4=120",
            "differ by more than 10 %",
        ),
        ("pH=7.6; hardness=31 mg/L; Cl=8; SO4=12; TDS=52; conductivity=900", "off by ten"),
        ("pH=11.5; alkalinity=5 mg/L; hardness=31 mg/L; Cl=8; SO4=12", "rule each other out"),
    ],
)
def test_a_mixture_with_a_water_that_cannot_be_is_not_decided(water, said):
    found = answer(f"tap={water}", "deionised")
    assert found["verdict"] == "undecided"
    assert said in found["because"]
    assert found["because"].startswith("tap: ")
    # Without a share of it nothing is wrong with the rest.
    more = ("--shares", "tap=0; deionised=100", "--limits", "drinking_water_who")
    assert not answer(f"tap={water}", "deionised", more=more)["stated"]["because"].startswith("tap")


def test_an_impossible_mixture_names_the_bounds_and_how_near_it_comes():
    salty = "salty=pH=7.5; hardness=40 mg/L; Cl=80; SO4=20"
    hard = "hard=pH=7.5; hardness=400 mg/L; Cl=10; SO4=20"
    found = answer(salty, hard)
    assert found["possible"] is False
    assert found["shares"] is found["tap_share_max"] is found["verdict"] is None
    assert {one["bound"] for one in found["conflict"]} == {"chloride", "total_hardness"}
    # By hand: (10 + 70 x) / 40 = (400 - 360 x) / 170 at x = 0.5444.
    x = (400 / 170 - 10 / 40) / (70 / 40 + 360 / 170)
    assert found["nearest"]["shares"]["salty"] == pytest.approx(x)
    nearest = {one["bound"]: one["nearest"] for one in found["conflict"]}
    assert nearest["chloride"] == pytest.approx(10 + 70 * x)
    text = run(salty, hard).stdout
    assert "Impossible: no mixture of these waters meets every bound" in text
    assert "--source deionised" in " ".join(text.split())
    assert answer(salty, hard, "deionised")["possible"] is True


def test_every_set_has_to_be_met():
    one = answer(TAP, "deionised", more=("--limits", "inhibitor_water"))
    both = answer(
        TAP, "deionised", more=("--limits", "inhibitor_water", "--limits", "fill_water_default")
    )
    # 100 mg/L chloride there, 40 here; there hardness of 15 dH, 267.7 mg/L as CaCO3.
    assert one["tap_share_max"] > both["tap_share_max"] == pytest.approx(39 / 84)
    assert [each["id"] for each in both["limit_sets"]] == ["inhibitor_water", "fill_water_default"]


def test_a_stated_mixture_is_judged_besides():
    found = answer(TAP, "deionised", more=("--shares", "tap=30; deionised=70 %"))
    assert found["stated"]["shares"] == pytest.approx({"tap": 0.3, "deionised": 0.7})
    assert found["stated"]["verdict"] == "fit"
    worse = answer(TAP, "deionised", more=("--shares", "tap=80; deionised=20"))
    assert worse["stated"]["verdict"] == "unfit"


def test_a_source_of_several_samples_counts_its_worst():
    file = "sample_results/fill_water.csv"
    found = answer(f"Upper Quell tap={file}", "deionised")
    with open(file, encoding="utf-8") as lines:
        hardness = [
            float(row["Total hardness (mg/L as CaCO3)"])
            for row in csv.DictReader(lines)
            if row["Source"] == "Upper Quell tap"
        ]
    assert found["waters"][0]["samples"] == len(hardness) > 1
    assert found["controlled_by"] == "total_hardness"
    assert found["tap_share_max"] == pytest.approx((170 - 2) / (max(hardness) - 2))
    assert any("the worst of them counts" in line for line in found["assumptions"])


def test_text_csv_and_folder_say_the_same(tmp_path):
    text = run(f"{TAP}:0.002", "deionised:0.5").stdout
    assert text.startswith("Judged against limit set fill_water_default")
    assert "46.4 % tap" in " ".join(text.split())
    rows = list(csv.DictReader(run(TAP, "deionised", more=("--format", "csv")).stdout.splitlines()))
    share = {row["name"]: row["value"] for row in rows if row["quantity"] == "share"}
    assert set(share) == {"tap", "deionised"}
    out = tmp_path / "blend"
    for _ in range(2):
        assert run(TAP, "deionised", more=("--out", str(out))).exit_code == 0
    assert {path.name for path in out.iterdir()} == {"mixture.csv", "summary.json", "report.html"}
    assert json.loads((out / "summary.json").read_text())["schema"] == "chemcheck/blend/1"
    assert "<h1>Water page</h1>" in (out / "report.html").read_text()


def test_a_name_never_becomes_a_formula_or_markup(tmp_path):
    assert run(TAP.replace("tap", "@cmd<b>", 1), more=("--out", str(tmp_path / "o"))).exit_code == 0
    assert "<b>" not in (tmp_path / "o" / "report.html").read_text()
    assert ",@cmd" not in (tmp_path / "o" / "mixture.csv").read_text()


def test_deionised_water_that_conducts_is_not_taken_for_it():
    result = run(TAP, "deionised=conductivity=300 uS/cm; pH=7; hardness=90 mg/L")
    assert result.exit_code == 2
    assert "source 'deionised' has no reading of chloride" in result.stderr
    measured = answer(TAP, "deionised=conductivity=2 uS/cm; Cl=0.1")
    assert measured["tap_share_max"] == pytest.approx((40 - 0.1) / (85 - 0.1))


@pytest.mark.parametrize(
    ("sources", "more", "said"),
    [
        ((), (), "nothing to mix: give two sources or more"),
        ((f"{TAP}:-1", "deionised:1"), (), "the cost -1 is below nothing"),
        ((f"{TAP}:1", "deionised"), (), "source 'deionised' has no cost and others have one"),
        ((TAP, "tap=x.csv"), (), "two sources are called 'tap'"),
        (("well=nothing.csv",), (), "nothing.csv: there is no such file"),
        (("well=pH=7; hardness=3 dH; Cl=3", "deionised"), (), "'well' has no reading of sulfate"),
        (("well=pH=7; hardness=310; Cl=3",), (), "'310': no unit: total hardness is written in"),
        (("well=pH=7; Cl=-3",), (), "column 'Cl': '-3': impossible"),
        (("x=sample_results/fill_water.csv",), (), "holds 28 samples of several waters"),
        (("x=sample_results/lab_wide.csv",), (), "holds no sample of water"),
        ((TAP, "deionised"), ("--shares", "tap=40; deionised=70"), "make up 110 %, not 100 %"),
        ((TAP, "deionised"), ("--shares", "tap=40; di=60"), "'di' is no source known here"),
        ((TAP, "deionised"), ("--limits", "coolant_in_service"), "is for coolant, not for water"),
    ],
)
def test_bad_input_is_one_line(sources, more, said):
    result = run(*sources, more=more)
    assert result.exit_code == 2
    assert said in result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert not result.stdout
