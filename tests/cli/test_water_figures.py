"""Scale figures as ``chemcheck water`` prints them: strips, heated waters, readings that clash."""

import json
import math

import numpy as np
import pytest
from click.testing import CliRunner

from chemcheck.chemistry.carbonate import heat, open_to_air, speciate
from chemcheck.chemistry.precipitation import precipitation_potential
from chemcheck.chemistry.saturation import saturation_index
from chemcheck.cli.main import main

TAP = {
    "ph": "7.4", "calcium": "112", "magnesium": "17.7", "alkalinity": "278 mg/L as CaCO3",
    "sodium": "25.1", "potassium": "1.98", "chloride": "29.3", "sulfate": "95",
    "solids": "454", "hardness": "352 mg/L as CaCO3", "temperature": "15 C",
}  # fmt: skip
SEAWATER = {
    "ph": "8.1", "calcium": "412", "magnesium": "1290", "alkalinity": "116 mg/L as CaCO3",
    "sodium": "10770", "potassium": "399", "chloride": "19354", "sulfate": "2712",
    "solids": "35000",
}  # fmt: skip


def run(quantities: dict[str, str], *more: str):
    given = [text for key, value in quantities.items() for text in (f"--{key}", value)]
    return CliRunner().invoke(main, ["water", *given, *more])


def sample(quantities: dict[str, str], *more: str):
    [found] = json.loads(run(quantities, *more, "--format", "json").stdout)["samples"]
    return found


def flat(text: str) -> str:
    return " ".join(text.split())


def test_a_strip_gives_ranges_that_contain_brute_force() -> None:
    """Pads read to their neighbours; 20,000 waters that the strip and the tap allow."""
    strip = {"ph": "7.5", "hardness": "120 mg/L", "alkalinity": "100-200 mg/L", "chloride": "30"}
    found = sample(strip, "--method", "strip")
    ends = {r["analyte"]: (r["lower"], r["upper"]) for r in found["results"]}
    assert ends["ph"] == (7, 8)
    assert ends["total_hardness"] == (50, 250)
    rng = np.random.default_rng(3)
    n = 20_000
    hardness = rng.uniform(*ends["total_hardness"], n)
    share = rng.uniform(0.0, 1.0, n)
    drawn = {
        "ph": rng.uniform(*ends["ph"], n),
        "alkalinity": rng.uniform(100, 200, n),
        # 2.4973 and 4.1179 mg of CaCO3 for 1 mg of calcium and of magnesium.
        "calcium": share * hardness / 2.4973,
        "magnesium": (1 - share) * hardness / 4.1179,
        "chloride": rng.uniform(*ends["chloride"], n),
        # Not read: what tap water may hold.
        "sodium": rng.uniform(0, 200, n),
        "potassium": rng.uniform(0, 12, n),
        "sulfate": rng.uniform(0, 250, n),
        "temperature": rng.uniform(5, 25, n),
    }
    water = speciate(**drawn)
    for label, degrees in (("25", 25.0), ("60", 60.0), ("90", 90.0)):
        for kind, at in (
            ("indices", heat(water, degrees)),
            ("vented", open_to_air(water, degrees)),
        ):
            told = found[kind][label]
            for key, values in (
                ("ph", at.ph),
                ("calcite_si", saturation_index(at, "calcite")),
                ("anhydrite_si", saturation_index(at, "anhydrite")),
                ("ccpp_mg_per_kg", precipitation_potential(at).potential),
            ):
                lower, upper = told[key]["lower"], told[key]["upper"]
                assert (-math.inf if lower is None else lower) <= values.min(), (kind, key)
                assert values.max() <= (math.inf if upper is None else upper), (kind, key)


def test_the_textbook_case_at_25_and_82_degrees() -> None:
    """Langelier -0.7 and +0.3 (Corrosion Engineering: Principles and Practice, p. 317)."""
    water = {
        "ph": "7.5", "solids": "320", "calcium-hardness": "150 mg/L as CaCO3",
        "alkalinity": "34 mg/L as CaCO3",
    }  # fmt: skip
    indices = sample(water, "--temperatures", "25 C, 82 C")["indices"]
    assert list(indices) == ["25", "82"]
    assert indices["25"]["langelier_index"] == pytest.approx(-0.7, abs=0.1)
    assert indices["82"]["langelier_index"] == pytest.approx(0.3, abs=0.1)


def test_the_manuals_examples() -> None:
    """UFC 3-240-13FN, B-1 and B-2: 120 F; chart within 0.1 (0.2 for twice the pHs)."""
    water = {
        "ph": "8.2", "solids": "1000", "calcium-hardness": "500 mg/L as CaCO3",
        "alkalinity": "100 mg/L as CaCO3",
    }  # fmt: skip
    [at] = sample(water, "--temperatures", "120 F")["indices"].values()
    assert at["temperature_c"] == pytest.approx(48.89, abs=0.01)
    assert at["langelier_index"] == pytest.approx(1.43, abs=0.1)
    assert at["ryznar_index"] == pytest.approx(5.34, abs=0.2)
    assert at["puckorius_index"] == pytest.approx(6.07, abs=0.2)


def test_seawater_is_named_out_of_range() -> None:
    found = sample(SEAWATER)
    assert "seawater" in found["indices_why_empty"]
    assert found["indices"]["25"]["calcite_si"] is None
    assert found["indices"]["25"]["langelier_index"] is None
    said = flat(run(SEAWATER).stdout)
    assert "No saturation index and no potential: too salty" in said
    assert "dissolved solids of 10 to 10,000 mg/L, without a value outside" in said


def test_an_imbalance_leaves_the_verdict_undecided_and_the_indices_stand() -> None:
    found = sample(TAP | {"sodium": "251"})
    assert found["verdict"] == "undecided"
    assert found["charge_balance_percent"] > 10
    assert isinstance(found["indices"]["60"]["calcite_si"], float)
    said = flat(run(TAP | {"sodium": "251"}).stdout)
    assert "Cations and anions differ by more than 10 % of all charges." in said
    # Cations 18.01, anions 8.36 meq/L.
    assert "Charge balance: 36.6 % of all charges" in said


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"conductivity": "65"}, "Dissolved solids and conductivity rule each other out"),
        ({"ph": "12.5"}, "Alkalinity and pH rule each other out"),
        ({"ph": "4.2"}, "Alkalinity and pH rule each other out"),
    ],
)
def test_readings_that_clash_are_one_line_each(changes: dict[str, str], said: str) -> None:
    clean = {key: text for key, text in TAP.items() if key not in ("sodium", "hardness")}
    clean |= {"hardness": "150 mg/L", "solids": "300", "calcium": "40", "magnesium": "12"}
    result = run(clean | changes)
    assert result.exit_code == 0
    assert f"- {said}" in flat(result.stdout)
    assert sample(clean | changes)["verdict"] == "undecided"


def test_a_negative_concentration_is_one_line_and_withholds_the_verdict() -> None:
    result = run(TAP | {"chloride": "-5"})
    assert result.exit_code == 1
    assert result.stderr == (
        "set aside: options, column 'chloride': '-5': impossible: expected 0 to 200,000 mg/L\n"
    )
    soft = TAP | {"chloride": "-5", "hardness": "150 mg/L", "solids": "300"}
    assert sample(soft)["verdict"] == "undecided"


def test_bad_temperatures_are_one_line() -> None:
    result = run(TAP, "--temperatures", "25, 150 C")
    assert result.exit_code == 2
    assert result.stderr.splitlines()[-1] == (
        "error: --temperatures '150 C': expected 0 to 130 C, the range of the water chemistry"
    )
