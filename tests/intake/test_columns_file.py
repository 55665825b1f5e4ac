"""Columns files: what they settle, and where they are wrong."""

import re
from pathlib import Path

import pytest

from chemcheck.errors import LimitFileError
from chemcheck.intake.choices import Choices
from chemcheck.intake.columns_file import read_columns_file


@pytest.fixture
def read(tmp_path: Path):
    def made(text: str) -> Choices:
        path = tmp_path / "ours.yaml"
        path.write_text(text, encoding="utf-8")
        return read_columns_file(path)

    return made


def test_everything_a_file_can_say(read):
    choices = read(
        """
        decimal: ","
        date_order: dmy
        ppm: mg/kg
        material: coolant
        technology: OAT
        glycol_type: MEG
        method: test strip
        laboratory: north
        lot: 24-07
        strips_late: yes
        columns:
          Chlorid: chloride
          Eisen gelöst: dissolved iron
          Härte: {analyte: total hardness, unit: dH}
          Silikat: {analyte: silicon, unit: mg/L, form: SiO2}
          pH: {analyte: ph, basis: diluted, method: field meter}
          Werk: sampling_point
          Kilometer: {fact: distance, unit: mi}
          Notiz: text
        strip_charts:
          molybdate: {unit: mg/L, form: MoO4, steps: [0, 100, 200, 400], doubling: yes}
        """
    )
    assert (choices.decimal, choices.date_order, choices.ppm) == (",", "dmy", "mg/kg")
    assert (choices.technology, choices.glycol_type) == ("OAT", "ethylene_glycol")
    assert (choices.method, choices.laboratory, choices.lot) == ("test strip", "north", "24-07")
    assert choices.strips_late
    assert choices.of_title("Chlorid").analyte == "chloride"
    assert choices.of_title("eisen gelöst").basis == "dissolved"
    assert choices.of_title("Silikat").form == "SiO2"
    assert choices.of_title("pH").method == "field meter"
    assert choices.of_title("Werk").role == "sampling_point"
    assert (choices.of_title("Kilometer").role, choices.of_title("Kilometer").unit) == (
        "distance",
        "mi",
    )
    assert choices.of_title("Notiz").keep_as_text
    chart = choices.strip_charts["molybdenum"]
    # MoO4 is 1.6670 times Mo by mass (IUPAC abridged atomic weights 2021).
    assert chart.steps == pytest.approx([0, 100 / 1.6670, 200 / 1.6670, 400 / 1.6670], rel=1e-4)
    assert chart.doubling


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("decimal: x", r"ours\.yaml, line 1, decimal: .*'x'.*expected one of: ,, \."),
        ("ppm: mg", r"line 1, ppm: .*'mg'"),
        ("technology: greenish", r"technology: 'greenish' is no technology known here"),
        ("glycol_type: glycerin", r"glycol_type: 'glycerin' is no glycol known here"),
        ("method: guess", r"method: 'guess' is no method known here"),
        ("columms: {}", r"'columms' is no key known here; nearest: columns"),
        (
            "columns: {Cl: chloryde}",
            r"columns\.Cl: 'chloryde' is no .* known here; nearest: chloride",
        ),
        ("columns: {Cl: {unit: mg/L}}", r"columns\.Cl: expected one of the keys"),
        ("columns: {Cl: {analyte: ph, fact: hours}}", r"columns\.Cl: expected one of the keys"),
        ("columns: {Cl: {fact: colour}}", r"columns\.Cl\.fact: 'colour' is no fact of a sample"),
        ("columns:\n  Cl: {analyte: chloride,\n    unit: deg C}", r"line 2, columns\.Cl: .*deg C"),
        ("columns: {Fe: {analyte: iron, basis: wet}}", r"columns\.Fe: 'wet' is no basis of iron"),
        ("strip_charts: {x: {unit: mg/L, steps: [1, 2]}}", r"strip_charts\.x: 'x' is no analyte"),
        ("strip_charts: {nitrite: {unit: psi, steps: [1, 2]}}", r"nitrite\.unit: .*psi"),
        ("strip_charts: {nitrite: {unit: mg/L, steps: [2, 1]}}", r"steps: expected at least two"),
        ("strip_charts: {nitrite: {steps: [1, 2]}}", r"the key 'unit' is missing"),
        ("strips_late: maybe", r"strips_late: 'maybe' is no answer"),
        ("a: &x 1\nb: *x", "anchors"),
        ("", "is empty"),
    ],
)
def test_one_clear_line(read, text, message):
    with pytest.raises(LimitFileError, match=message) as caught:
        read(text)
    assert not re.search(r"\n", str(caught.value))


def test_missing_file(tmp_path):
    with pytest.raises(LimitFileError, match=r"none\.yaml: there is no such file"):
        read_columns_file(tmp_path / "none.yaml")
