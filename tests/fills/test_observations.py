"""Findings of a file of their own stand beside the sample they belong to, and no other."""

from pathlib import Path

import numpy as np
import pytest

from chemcheck import check, read_results
from chemcheck.fills.observations import with_observations
from chemcheck.readings.record import Readings

SAMPLES = """Sample No,Unit ID,Date Sampled,Technology,pH,Iron (mg/L),blue shaft
S1,A,2031-01-10,organic acid,8.4,1,
S2,A,2031-06-10,organic acid,8.3,2,
S3,B,2031-06-11,organic acid,8.2,1,no
"""


@pytest.fixture
def samples(tmp_path: Path) -> Readings:
    path = tmp_path / "samples.csv"
    path.write_text(SAMPLES)
    return read_results(path)


def _with(samples: Readings, tmp_path: Path, text: str) -> Readings:
    path = tmp_path / "found.csv"
    path.write_text(text)
    return with_observations(samples, read_results(path, material="coolant"))


def _seen(readings: Readings, finding: str) -> list[float]:
    return readings.lower[:, readings.position(finding)].tolist()


def test_by_sample_id(samples: Readings, tmp_path: Path) -> None:
    found = _with(samples, tmp_path, "Sample No,vane pits\nS1,yes\nS3,no\n")
    np.testing.assert_array_equal(_seen(found, "vane_pits"), [1.0, np.nan, 0.0])
    assert not len(found.rejected)


def test_by_unit_the_latest_sample_not_after_the_date(samples: Readings, tmp_path: Path) -> None:
    found = _with(samples, tmp_path, "Unit ID,Date,gel\nA,2031-03-01,yes\n")
    np.testing.assert_array_equal(_seen(found, "gel"), [1.0, np.nan, np.nan])


def test_by_unit_without_a_date_the_latest_sample(samples: Readings, tmp_path: Path) -> None:
    found = _with(samples, tmp_path, "Unit ID,gel\nA,yes\n")
    np.testing.assert_array_equal(_seen(found, "gel"), [np.nan, 1.0, np.nan])


def test_what_fits_no_sample_is_told(samples: Readings, tmp_path: Path) -> None:
    found = _with(samples, tmp_path, "Unit ID,Date,gel\nZ,2031-03-01,yes\nA,2030-01-01,yes\n")
    assert found.rejected["row"].tolist() == [2, 3]
    assert found.rejected["problem"].str.startswith("no sample of this id").all()
    assert np.isnan(_seen(found, "gel")).all()


def test_what_a_sample_states_itself_stays(samples: Readings, tmp_path: Path) -> None:
    found = _with(samples, tmp_path, "Sample No,blue shaft\nS3,yes\nS2,yes\n")
    np.testing.assert_array_equal(_seen(found, "blue_shaft"), [np.nan, 1.0, 0.0])
    assert found.rejected["row"].tolist() == [2]
    assert "that stays" in found.rejected["problem"][0]


def test_findings_that_contradict_each_other_are_set_aside(
    samples: Readings, tmp_path: Path
) -> None:
    found = _with(samples, tmp_path, "Sample No,gel\nS2,yes\nS2,no\n")
    assert np.isnan(_seen(found, "gel")).all()
    assert found.rejected["row"].tolist() == [2, 3]


def test_counts_still_add_up_and_the_finding_raises_its_cause(
    samples: Readings, tmp_path: Path
) -> None:
    answer = check(_with(samples, tmp_path, "Unit ID,shaft blue\nA,yes\n"))
    counts = answer.counts
    parts = ("cells_judged", "cells_not_judged", "cells_blank", "cells_rejected")
    assert counts["cells_read"] == sum(counts[part] for part in parts)
    assert counts["rows_read"] == counts["samples"] == 3
    assert answer.causes is not None
    assert answer.causes.of_sample(1)[0].cause == "bearing_heat"
