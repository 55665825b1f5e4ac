"""Empty forms, read back as they stand."""

import re

import numpy as np
import pytest

from chemcheck.intake import read_results
from chemcheck.intake.headers import read_header
from chemcheck.intake.templates import template_text, templates

FORMS = [(name, decimal) for name in templates() for decimal in ".,"]
NUMBER = re.compile(r"(<?)(-?[\d.]+)")


@pytest.mark.parametrize(("name", "decimal"), FORMS)
def test_a_form_is_read_back_unchanged(tmp_path, name, decimal):
    file = tmp_path / "form.csv"
    file.write_text(template_text(name, decimal), encoding="ascii")
    readings = read_results([file])
    assert (len(readings.samples), len(readings.rejected), len(readings.questions)) == (1, 0, 0)
    asked = 0
    for title, unit, example in templates()[name].columns:
        found = read_header(title)
        if found.analyte is None:
            continue
        asked += 1
        place = readings.position(found.analyte)
        assert place is not None, title
        if name == "strip" or (number := NUMBER.fullmatch(example)) is None:
            continue  # a pad reaches half way to its neighbours; words are read as their rank
        value = float(number[2]) / (2.1393 if unit and "SiO2" in title else 1.0)
        ends = readings.lower[0, place], readings.upper[0, place]
        assert ends == pytest.approx((0.0 if number[1] else value, value), rel=1e-4)
    assert asked == (~np.isnan(readings.lower[0])).sum() == len(readings.columns)


@pytest.mark.parametrize("name", templates())
def test_a_form_says_that_its_line_is_invented(name):
    _, _, line = template_text(name).splitlines()
    assert "EXAMPLE" in line
    assert "invented line; replace it" in line


@pytest.mark.parametrize("name", [name for name in templates() if name != "water"])
def test_the_sample_of_a_form_is_coolant(tmp_path, name):
    file = tmp_path / "form.csv"
    file.write_text(template_text(name), encoding="ascii")
    assert read_results([file]).samples["material"].tolist() == ["coolant"]


def test_a_form_of_another_name_is_refused():
    with pytest.raises(ValueError, match=r"'log' is no template.*rinse-log"):
        template_text("log")
