"""A job's record: read from YAML, and what it leads to by the algebra of mixing."""

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.assessment.job_figures import job_figures
from chemcheck.assessment.job_record import JobRecord, RefillDone, RinseDone, read_job
from chemcheck.errors import LimitFileError
from chemcheck.intake.templates import job_template
from chemcheck.remedies.estimate import between, exact
from chemcheck.reports.evidence_rinses import rinse_words


def written(folder: Path, text: str) -> JobRecord:
    file = folder / "job.yaml"
    file.write_text(text, encoding="utf-8")
    return read_job(file)


def rinsed(times: int, **more) -> JobRecord:
    rinses = (RinseDone(drained=exact(8.0)),) * times
    return JobRecord("job.yaml", system=exact(12.0), rinses=rinses, **more)


def test_the_form_is_read_as_it_stands(tmp_path):
    job = written(tmp_path, job_template())
    assert job.unit == "EXAMPLE UNIT"
    assert len(job.rinses) == 3
    assert float(job.refill.measured.value) == 50.0
    assert job.not_known == ("who filled the old coolant",)


def test_an_empty_record_is_no_error_but_an_empty_file_is(tmp_path):
    assert written(tmp_path, "date: 2031-03-14\n").rinses == ()
    with pytest.raises(LimitFileError, match="is empty"):
        written(tmp_path, "")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("sytem: 12 L\n", r"line 1.*'sytem' is no key.*system"),
        ("unit: A\nsystem: 12\n", r"line 2, system.*states no unit"),
        ("rinses: [{out: 8 h}]\n", r"rinses\[0\].out"),
        ("rinses: {out: 8 L}\n", "expected a list"),
        ("refill: {measured: 140 %}\n", "refill.measured.*not from 0 to 100"),
        ("tests: [a]\n", "expected keys"),
    ],
)
def test_what_is_wrong_is_one_line_with_its_place(tmp_path, text, said):
    with pytest.raises(LimitFileError, match=said) as problem:
        written(tmp_path, text)
    assert "\n" not in str(problem.value)


def test_residue_after_rinses_of_two_thirds_each():
    # Worked example of the trade, computed: 33 / 11 / 3.7 / 1.2 / 0.4 % after 1 to 5 rinses
    # where a third stays inside.
    left = [100 * float(one.value) for one in job_figures(rinsed(5)).residue]
    assert left == pytest.approx([33.3, 11.1, 3.7, 1.2, 0.4], abs=0.05)


def test_refill_counts_the_rinse_water_that_stays_inside():
    # Worked example of the trade, computed: 12 L with 4 L of water inside, 6 L of concentrate
    # and 2 L of water make 50 %; ready mix of 50 % in the 8 L makes 33 %.
    concentrate = RefillDone(concentrate=exact(6.0), water=exact(2.0))
    assert float(job_figures(rinsed(0, refill=concentrate)).percent.value) == pytest.approx(50.0)
    premix = RefillDone(concentrate=exact(8.0), water=exact(0.0), strength=exact(50.0))
    assert float(job_figures(rinsed(0, refill=premix)).percent.value) == pytest.approx(
        33.3, abs=0.1
    )


def test_a_percent_measured_far_from_what_was_filled_is_asked_about():
    filled = RefillDone(exact(6.0), exact(2.0), measured=exact(33.0))
    assert any(
        "not what was filled" in one for one in job_figures(rinsed(0, refill=filled)).remarks
    )
    near = RefillDone(exact(6.0), exact(2.0), measured=exact(49.0))
    assert not any("not what" in one for one in job_figures(rinsed(0, refill=near)).remarks)


def test_what_is_missing_is_not_made_up():
    job = JobRecord("job.yaml", rinses=(RinseDone(drained=exact(8.0)),))
    found = job_figures(job)
    assert found.residue[0].value != found.residue[0].value
    assert found.proof is None
    assert found.percent.value != found.percent.value


def test_readings_prove_what_is_left_with_the_rinse_waters_own_taken_off():
    rinses = tuple(
        RinseDone(exact(8.0), exact(8.0), ("conductivity", exact(v))) for v in (1020, 353)
    )
    job = JobRecord(
        "job.yaml", system=exact(12.0), drains=exact(8.0), rinses=rinses,
        rinse_start=("conductivity", exact(3020.0)), rinse_water=("conductivity", exact(20.0)),
    )  # fmt: skip
    found = job_figures(job)
    # (1020 - 20) / (3020 - 20) and (353 - 20) / 3000: dilution by thirds.
    assert [float(one.value) for one in found.read] == pytest.approx([1 / 3, 1 / 9], abs=1e-3)
    assert found.proof.residue.lower[0] < 1 / 9 < found.proof.residue.upper[0]


def test_readings_that_do_not_fit_the_litres_are_asked_about():
    # 8 of 22 L leave 64 % each time at perfect mixing, 40 % were read.
    rinses = tuple(
        RinseDone(drained=exact(8.0), reading=("glycol", exact(level)))
        for level in (20.0, 8.0, 3.0)
    )
    job = JobRecord(
        "job.yaml", system=exact(22.0), drains=exact(8.0), rinses=rinses,
        rinse_start=("glycol", exact(50.0)),
    )  # fmt: skip
    figures = job_figures(job)
    assert any("a rinse leaves 64 % at the least" in one for one in figures.remarks)
    assert not any("fall as dilution does" in said for said in rinse_words(figures))


@given(st.floats(1, 50), st.floats(0.05, 1.0), st.integers(1, 6), st.floats(0, 0.2))
def test_one_more_rinse_never_leaves_more_and_width_never_narrows(system, share, times, width):
    drained = between(system * share * (1 - width), system * share)
    job = JobRecord("j", system=exact(system), rinses=(RinseDone(drained=drained),) * times)
    left = job_figures(job).residue
    assert all(0 <= one.lower <= one.value <= one.upper <= 1 for one in left)
    assert all(b.upper <= a.upper for a, b in pairwise(left))
