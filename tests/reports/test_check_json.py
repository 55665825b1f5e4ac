"""The JSON document of a check."""

import io
import json
import math
from typing import Any

import pytest

from chemcheck.assessment.record import Assessment
from chemcheck.reports import check_rows, told_json
from chemcheck.reports.check_json import write_check_json
from chemcheck.reports.check_summary import check_summary
from chemcheck.reports.json_text import json_value
from tests.reports.checked import HOSTILE, checked


def document(assessment: Assessment, **more: bool) -> Any:
    file = io.BytesIO()
    write_check_json(assessment, file, **more)

    def refuse(name: str) -> None:
        raise AssertionError(name)

    return json.loads(file.getvalue().decode("utf-8"), parse_constant=refuse)


def test_head_counts_and_samples() -> None:
    assessment = checked()
    found = document(assessment)
    assert found["schema"] == "chemcheck/check/1"
    assert [each["id"] for each in found["limit_sets"]] == ["first", "second"]
    assert all(len(each["sha256"]) == 64 for each in found["limit_sets"])
    assert found["counts"] == dict(assessment.counts)
    assert found["assumptions"] == list(assessment.assumptions)
    assert [each["sample_id"] for each in found["samples"]] == list(HOSTILE)
    frame = assessment.verdicts
    for name in ("row", "verdict", "disposition", "because"):
        assert [each[name] for each in found["samples"]] == frame[name].tolist()
    assert [each["unit_id"] for each in found["samples"]] == ["A", "A", None, "B", "B"]
    assert [each["taken_on"] for each in found["samples"]][:2] == ["2031-05-01", None]
    assert found["samples"][0]["verdicts"] == {"first": "unfit", "second": "unfit"}
    assert found["samples"][3]["verdicts"] == {"first": "fit"}
    assert found["told_in_full"] == {"samples": 5, "of": 5}
    for row, sample in enumerate(found["samples"]):
        told = assessment.remedies.of_sample(row)
        assert [each["title"] for each in sample["remedies"]] == [each.title for each in told]
    remedy = found["samples"][0]["remedies"][0]
    assert set(remedy) == {
        "title", "steps", "predicted", "verdict", "feasible", "held_back", "cautions", "needs"
    }  # fmt: skip
    assert set(remedy["predicted"][0]) == {"analyte", "lower", "upper", "verdict", "u"}
    assert all(sample["balances"] is None for sample in found["samples"])


def test_causes_of_each_sample() -> None:
    assessment = checked()
    assert assessment.causes is not None
    samples = document(assessment)["samples"]
    # Chloride of 100 mg/L where a fresh fill holds up to 40; 5 mg/L is nothing to explain.
    assert {each["cause"] for each in samples[0]["causes"]} >= {"road_salt", "sea_water"}
    assert samples[3]["causes"] == []
    names = {"cause", "weight_of_evidence", "evidence_for", "evidence_against", "missing",
             "confirm_by"}  # fmt: skip
    for row, sample in enumerate(samples):
        told = assessment.causes.of_sample(row)
        assert [each["cause"] for each in sample["causes"]] == [each.cause for each in told]
        for each, one in zip(sample["causes"], told, strict=True):
            assert names <= set(each)
            assert each["weight_of_evidence"] == one.weight_of_evidence
            assert tuple(each["evidence_for"]) == one.evidence_for


def test_results_of_each_sample() -> None:
    assessment = checked()
    frame = assessment.results
    written = [
        (each["row"], result)
        for each in document(assessment)["samples"]
        for result in each["results"]
    ]
    assert len(written) == len(frame)
    for (row, result), expected in zip(written, frame.to_dict("records"), strict=True):
        assert (row, result["analyte"], result["state"]) == (
            expected["row"], expected["analyte"], expected["state"],
        )  # fmt: skip
        for name, tolerance in (("lower", 1e-9), ("upper", 1e-9), ("bound", 1e-9), ("u", 1e-3)):
            if math.isfinite(expected[name]):
                assert result[name] == pytest.approx(expected[name], rel=tolerance)
            else:
                assert result[name] is None
        source = expected["source"]
        assert result["source"] == (source if isinstance(source, str) else None)
        assert set(result["probability_outside"]) == {"lower", "upper"}


def test_only_what_is_not_plainly_inside() -> None:
    found = document(checked(), all_results=False)
    states = [result["state"] for each in found["samples"] for result in each["results"]]
    assert "inside" not in states
    assert "outside" in states


def test_an_open_end_is_null() -> None:
    result = document(checked())["samples"][4]["results"][0]
    assert (result["lower"], result["upper"]) == (300, None)


def test_rejected_and_questions() -> None:
    found = document(checked())
    assert found["rejected"][0]["text"] == "=1+1"
    assert found["questions"][0]["row"] is None


def test_stretches_do_not_show(monkeypatch: pytest.MonkeyPatch) -> None:
    whole, less = io.BytesIO(), io.BytesIO()
    write_check_json(checked(), whole)
    monkeypatch.setattr(check_rows, "STRETCH", 2)
    monkeypatch.setattr(check_rows, "BLOCK", 3)
    write_check_json(checked(), less)
    assert whole.getvalue() == less.getvalue()


def test_every_caution_named_has_its_text() -> None:
    found = document(checked())
    texts = found["caution_texts"]
    named = {key for sample in found["samples"] for key in sample["cautions"]}
    for part in ("causes", "remedies"):
        named |= {
            key for sample in found["samples"] for one in sample[part] for key in one["cautions"]
        }
    assert "flushing_agent" in named
    assert all(len(texts[key]) > 20 for key in named)
    assert {one["key"]: one["text"] for one in found["cautions"]}.items() <= texts.items()


def test_says_of_which_samples_no_remedies_are_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(told_json, "TOLD", 2)
    found = document(checked())
    assert found["told_in_full"] == {"samples": 2, "of": 5}
    assert "worked out for the 2 worst of 5 samples" in found["assumptions"][-1]
    assert sum(bool(sample["remedies"]) for sample in found["samples"]) <= 2


def test_text_that_json_must_escape() -> None:
    odd = ("back\\slash", 'quo"te', "line\nend", "\x00", "µ − ‮")
    assert [each["sample_id"] for each in document(checked(odd))["samples"]] == list(odd)
    assert [each["sample_id"] for each in document(checked((None,) * 5))["samples"]] == [None] * 5


def test_summary() -> None:
    summary = json.loads(json_value(check_summary(checked())))
    assert summary["schema"] == "chemcheck/check-summary/1"
    assert summary["counts"]["samples"] == 5
    assert summary["verdicts"]["first"]["no set applies"] == 0
    assert summary["verdicts"]["second"]["no set applies"] == 1
    assert sum(summary["dispositions"].values()) == 5
    assert set(summary["undecided_share"]) == {"overlap", "simple", "guarded"}
    chloride = summary["results"][0]
    assert (chloride["analyte"], sum(chloride["states"].values())) == ("chloride", 5)


def test_what_causes_leave_open() -> None:
    assessment = checked()
    causes = assessment.causes
    assert causes is not None
    titles = {one.key: one.title for one in causes.plan.causes}
    for row, sample in enumerate(document(assessment)["samples"]):
        assert [titles[key] for key in sample["alike"]] == list(causes.alike(row))
        several = len(sample["causes"]) > 1
        assert sample["next_test"] == (causes.next_test(row) if several else None)
        found = causes.technology(row)
        assert sample["technology_check"] == {
            "stated": found.stated,
            "supported": found.supported,
            "contradicts": list(found.contradicts),
            "supports": list(found.supports),
            "candidates": list(found.candidates),
        }
