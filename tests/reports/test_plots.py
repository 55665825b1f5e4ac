"""Charts written into a folder, with a list of what they show."""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main
from tests.documents import assert_valid

SAMPLES = Path(__file__).parents[2] / "sample_results"


def drawn(out: Path, *arguments: str) -> list[dict[str, str]]:
    result = CliRunner().invoke(main, [*arguments, "--plots", str(out)])
    assert result.exit_code in (0, 1), result.stderr
    document = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    assert_valid(document)
    files = {file.name for file in out.iterdir()} - {"summary.json"}
    assert files == {one["file"] for one in document["charts"]}
    return document["charts"]


def test_one_units_charts_are_its_readings_and_its_histories(tmp_path):
    history = str(SAMPLES / "fleet_history.csv")
    charts = drawn(tmp_path / "plots", "check", history, "--unit", "WL-02")
    names = [one["file"] for one in charts]
    assert names[0] == "WL-02-readings.svg"
    assert "WL-02-history-glycol-by_volume.svg" in names
    for one in charts:
        root = ET.parse(tmp_path / "plots" / one["file"]).getroot()
        assert root[0].text == one["title"]
        assert root[1].text == one["description"]
        assert root.findall(".//{http://www.w3.org/2000/svg}text")


def test_waters_are_drawn_as_png_by_option(tmp_path):
    file = tmp_path / "tap.csv"
    file.write_text("Sample No,pH,Total hardness (mg/L as CaCO3),Cl (mg/L)\nTap,7.6,310,85\n")
    (one,) = drawn(tmp_path / "plots", "water", str(file), "--plots-form", "png")
    assert (tmp_path / "plots" / one["file"]).read_bytes().startswith(b"\x89PNG")
    assert "total hardness 310" in one["description"].replace("\u00a0", " ")


@pytest.mark.parametrize("form", ["json", "csv"])
def test_a_unit_alone_is_told_as_text_or_page_only(form):
    arguments = ["check", str(SAMPLES / "lab_wide.csv"), "--unit", "WL-02", "--format", form]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 2
    assert "--unit goes with text or with --out" in result.stderr


def test_a_folder_of_strangers_is_left_alone(tmp_path):
    (tmp_path / "plots").mkdir()
    (tmp_path / "plots" / "sample-1.svg").write_text("mine")
    arguments = ["water", "--ph", "7.6", "--chloride", "85", "--plots", str(tmp_path / "plots")]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 2
    assert "did not write it" in result.stderr
    assert (tmp_path / "plots" / "sample-1.svg").read_text() == "mine"
