"""causes.csv says what the causes found say, and no more."""

from pathlib import Path

import pandas as pd
import pytest

from chemcheck.assessment.check import check
from chemcheck.reports.causes_csv import CAUSE_COLUMNS, write_causes_csv
from tests.causes.cases import CASES, readings_of
from tests.reports.checked import HOSTILE, checked


def test_every_raised_cause_has_a_row(tmp_path: Path) -> None:
    case = next(one for one in CASES if one.cause == "combustion_gas_leak")
    assessment = check(readings_of(case))
    write_causes_csv(assessment, tmp_path)
    found = pd.read_csv(tmp_path / "causes.csv")
    assert tuple(found.columns) == CAUSE_COLUMNS
    assert assessment.causes is not None
    told = [one for one in assessment.causes.of_sample(1) if one.raised]
    assert found["cause"].tolist() == [one.cause for one in told]
    assert found["weight_of_evidence"].tolist() == [one.weight_of_evidence for one in told]
    assert found["rank"].tolist() == list(range(1, len(told) + 1))
    assert set(found["row"]) == {3}


def test_ids_cannot_become_formulas(tmp_path: Path) -> None:
    write_causes_csv(checked(), tmp_path)
    found = pd.read_csv(tmp_path / "causes.csv", dtype=str)
    assert HOSTILE[0] not in found["sample_id"].tolist()
    assert not found["sample_id"].str.startswith(("=", "@", "+")).any()


def test_water_alone_writes_no_file(tmp_path: Path) -> None:
    from tests.builders import readings

    write_causes_csv(check(readings({"ph": [7.0]}, material=["water"])), tmp_path)
    assert not (tmp_path / "causes.csv").exists()


def test_a_batch_too_large_to_list_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for module in ("chemcheck.assessment.check", "chemcheck.reports.causes_csv"):
        monkeypatch.setattr(f"{module}.MOST_LISTED", 1)
    monkeypatch.setattr("chemcheck.causes.references.MOST_ORDERED", 1)
    assessment = check(readings_of(CASES[0]))
    write_causes_csv(assessment, tmp_path)
    assert not (tmp_path / "causes.csv").exists()
    said = " ".join(assessment.assumptions)
    assert "above 1 samples causes are weighed only where they are shown" in said
    assert "first sample of the fill, not the one before" in said
