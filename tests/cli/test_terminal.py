"""What a terminal gets: 80 columns, numbers beside their units, and no escape sequence."""

import re
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main
from chemcheck.reports.text_layout import WIDTH, display_width
from tests.browser.written import hostile_file
from tests.reports.test_fleet_page import written

SAMPLES = Path(__file__).parents[2] / "sample_results"
HARD = "hard=pH=7.6; hardness=310 mg/L; chloride=85 mg/L; sulfate=120 mg/L"
SALT = "salt=pH=7.6; hardness=30 mg/L; chloride=285 mg/L; sulfate=20 mg/L"
RUNS = {
    "laboratory": ("check", str(SAMPLES / "lab_wide.csv")),
    "strips": ("check", str(SAMPLES / "strip_log.csv"), "--all-results"),
    "messy": ("check", str(SAMPLES / "messy.csv")),
    "received": ("check", str(SAMPLES / "received_goods.csv")),
    "hostile": ("check", "hostile.csv"),
    "hostile waters": ("water", "hostile.csv", "--material", "water"),
    "unit": ("check", str(SAMPLES / "fleet_history.csv"), "--unit", "WL-02"),
    "waters": ("water", str(SAMPLES / "fill_water.csv"), "--system", "12 L", "--drains", "8 L"),
    "water of ranges": (
        "water", "--ph", "7-8", "--calcium", "80-100", "--alkalinity", "200-280 mg/L",
        "--chloride", "<90", "--solids", "520",
    ),
    "forecast": ("forecast", "fleet.csv", "--backtest"),
    "interval": (
        "interval", str(SAMPLES / "fleet_history.csv"), "--planned-cost", "300",
        "--failure-cost", "9000", "--delay", "1500",
    ),
    "blend": (
        "blend", "--source", HARD, "--source", "deionised", "--shares", "hard=40;deionised=60",
    ),
    "no blend": ("blend", "--source", HARD, "--source", SALT),
    "refill": (
        "refill", "--system", "12 L", "--drains", "8 L", "--target", "50 %",
        "--coolant", str(SAMPLES / "received_goods.csv"), "--coolant-sample", "R-001",
        "--reference", "expected.csv", "--unit", "U-1",
    ),
    "rinse": (
        "rinse", "--system", "12 L", "--drains", "8 L", "--readings", "50; 17; 6; 2 %",
        "--tap", "hardness=310 mg/L",
    ),
    "dose": (
        "dose", "--system", "40 L", "--now", "600 mg/L", "--target", "1200 mg/L",
        "--strength", "60 g/L",
    ),
    "margins": (
        "margins", "--glycol-percent", "50 %", "--cap", "15 psi", "--coldest", "-30 C",
        "--inlet-temperature", "95 C",
    ),
    "limit sets": ("limits", "list"),
    "a limit set": ("limits", "show", "nitrited_organic_acid_in_service"),
    "a cause": ("limits", "show", "pump_cavitation"),
    "own limits": ("limits", "check", str(SAMPLES / "own_limits.yaml")),
    "analytes": ("analytes",),
    "an analyte": ("analytes", "silica"),
    "schemas": ("schema",),
}  # fmt: skip
UNITS = r"(?:mg/L|%|vol%|mass%|mL|L|kPa|deg C|C|uS/cm|hours|days|km)"


@pytest.fixture(scope="module")
def told(tmp_path_factory) -> dict[str, str]:
    """Return what each command prints on a terminal that has colours."""
    folder = tmp_path_factory.mktemp("terminal")
    hostile_file(folder)
    written(folder)
    found = {}
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        for name, arguments in RUNS.items():
            result = CliRunner().invoke(main, arguments, color=True)
            assert result.exit_code in (0, 1), (name, result.stderr)
            found[name] = result.stdout
            assert "\x1b" not in result.stdout + result.stderr, name
    return found


@pytest.mark.parametrize("run", RUNS)
def test_text_fits_eighty_columns(told, run):
    lines = told[run].splitlines()
    assert len(lines) > 3
    for line in lines:
        assert display_width(line) <= WIDTH or max(map(display_width, line.split())) > 40, line


@pytest.mark.parametrize("run", RUNS)
def test_no_number_is_parted_from_its_unit(told, run):
    lines = told[run].splitlines()
    for line, following in pairwise(lines):
        # Where a table's column ends in numbers, the next line is a row of its own.
        if display_width(line) > 60 and re.search(r"(?:^| )[<>-]?\d[\d.,]*$", line):
            assert not re.match(rf" *{UNITS}(?:[ .,;:)]|$)", following), (line, following)


def test_an_id_of_any_length_leaves_the_other_rows_as_they_are(told):
    assert "x" * 20 in told["hostile"]
    assert max(map(len, told["hostile"].splitlines())) < 10_100
    assert sum(len(line) > WIDTH for line in told["hostile"].splitlines()) <= 2
