"""The same samples in every layout, encoding, unit and date style give the same readings."""

import numpy as np
import pytest

from chemcheck.intake import read_results, suggest_columns
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
        if style.unit == 4:  # a thousandth of the unit: the conversion rounds the last bit
            np.testing.assert_allclose(ends, plain[key], rtol=1e-14, atol=0)
        else:
            assert ends == plain[key]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_draft_of_every_layout_reads_alike(tmp_path, plain, layout):
    style = STYLES[0]
    path = tmp_path / "a.csv"
    path.write_bytes(style.written(LAYOUTS[layout](invented(seed=7), style)))
    columns = tmp_path / "draft.yaml"
    columns.write_text(suggest_columns(path), encoding="utf-8")
    assert readings_of(path, columns) == readings_of(path)
