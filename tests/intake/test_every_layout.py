"""The same samples in every layout, encoding, unit and date style: readings and verdicts."""

from dataclasses import replace

import numpy as np
import pytest

from chemcheck.assessment.check import check
from chemcheck.intake import read_results, suggest_columns
from chemcheck.judging import RULES
from chemcheck.readings.record import READ
from tests.intake.written_samples import ANALYTES, LAYOUTS, invented, styles

STYLES = list(styles(seed=20250403, count=16))


def readings_of(path, columns=None) -> dict[tuple[str, str], tuple[float, float]]:
    """Return the ends of each reading, by sample and analyte, once its facts are right."""
    samples = {sample.number: sample for sample in invented(seed=7)}
    readings = read_results(path, columns, material="water")
    assert len(readings.rejected) == 0
    assert readings.samples["sample_id"].tolist() == list(samples)
    assert [day.date() for day in readings.samples["taken_on"]] == [s.day for s in samples.values()]
    assert readings.samples["unit_id"].tolist() == [s.site for s in samples.values()]
    assert (readings.status == READ).all()
    return {
        (number, column.analyte): (readings.lower[i, j], readings.upper[i, j])
        for i, number in enumerate(readings.samples["sample_id"])
        for j, column in enumerate(readings.columns)
    }


@pytest.fixture(scope="module")
def plain(tmp_path_factory) -> dict[tuple[str, str], tuple[float, float]]:
    """Return the readings as they were made up, by no reader."""
    found = {}
    for sample in invented(seed=7):
        for (mark, number), analyte in zip(sample.results, ANALYTES, strict=True):
            value = float(number)
            ends = {"": (value, value), "<": (0.0, value), ">": (value, np.inf)}[mark]
            found[sample.number, analyte[1]] = ends
    return found


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("style", STYLES, ids=range(len(STYLES)))
def test_same_readings(tmp_path, plain, layout, style):
    path = tmp_path / f"a.csv{'.gz' if style.packed else ''}"
    path.write_bytes(style.written(LAYOUTS[layout](invented(seed=7), style)))
    found = readings_of(path)
    assert set(found) == set(plain)
    for key, ends in found.items():
        assert ends == plain[key]


def answers_of(path, rule) -> list[list[str]]:
    """Return what a check writes of each result and sample, without where it stands."""
    assessment = check(read_results(path, material="water"), rule=rule)
    results, verdicts = assessment.results, assessment.verdicts
    told = results.drop(columns=["file", "row", "unit_id"]).sort_values(["sample_id", "analyte"])
    # Every digit: the shortest text from which a number comes back as it was.
    written = [[repr(cell) for cell in row] for row in told.itertuples(index=False)]
    names = ["sample_id", "verdict", "disposition", "because"]
    return written + verdicts[names].astype(str).to_numpy().tolist()


@pytest.fixture(scope="module")
def first_answers(tmp_path_factory) -> dict[str, list[list[str]]]:
    """Return the answers of the first layout and style, by decision rule."""
    path = tmp_path_factory.mktemp("first") / "a.csv"
    path.write_bytes(STYLES[0].written(LAYOUTS["wide"](mixed(), STYLES[0])))
    return {rule: answers_of(path, rule) for rule in RULES}


def mixed() -> list:
    """Return invented samples of which some are on, below and above the bounds."""
    bounds = ["40.00", "100.00", "50.00", "0.30", "500.00", "170.00"]
    on = replace(invented(seed=7)[1], number="W-on", results=tuple(("", b) for b in bounds))
    below = replace(on, number="W-below", results=tuple(("<", b) for b in bounds))
    near = replace(on, number="W-near", results=tuple(("", f"{float(b):.1f}1") for b in bounds))
    return [*invented(seed=7), on, below, near]


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("style", STYLES, ids=range(len(STYLES)))
def test_same_verdicts_to_the_last_digit(tmp_path, first_answers, layout, style):
    path = tmp_path / f"a.csv{'.gz' if style.packed else ''}"
    path.write_bytes(style.written(LAYOUTS[layout](mixed(), style)))
    rule = RULES[STYLES.index(style) % len(RULES)]
    assert answers_of(path, rule) == first_answers[rule]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_draft_of_every_layout_reads_alike(tmp_path, plain, layout):
    style = STYLES[0]
    path = tmp_path / "a.csv"
    path.write_bytes(style.written(LAYOUTS[layout](invented(seed=7), style)))
    columns = tmp_path / "draft.yaml"
    columns.write_text(suggest_columns(path), encoding="utf-8")
    assert readings_of(path, columns) == readings_of(path)


def test_the_answers_compared_are_of_every_kind(first_answers):
    for rule in RULES:
        told = " ".join(cell for row in first_answers[rule] for cell in row)
        for state in ("inside", "outside", "undecided", "not judged"):
            assert f"'{state}'" in told
