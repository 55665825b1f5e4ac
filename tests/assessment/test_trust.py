"""Quality control, sample validity and cross-checks, from a file to its verdicts."""

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from chemcheck.assessment.check import check
from chemcheck.intake.read import read_results
from chemcheck.judging.record import STATE_NAMES, VERDICT_NAMES

TODAY = date(2031, 6, 1)
WATER = "Sample No,Sample type,Date,Hardness (mg/L as CaCO3),Chloride (mg/L),Sulfate (mg/L),pH"


def assess(tmp_path: Path, text: str, **options):
    file = tmp_path / "batch.csv"
    file.write_text(text, encoding="utf-8")
    return check(
        read_results(file, material=options.pop("material", "water")), today=TODAY, **options
    )


def verdicts(assessment) -> list[str]:
    return [VERDICT_NAMES[code] for code in assessment.headline.verdict]


def because(assessment) -> list[str]:
    return [assessment.because_texts[code] for code in assessment.because]


def adds_up(assessment) -> bool:
    counts = assessment.counts
    cells = ("cells_judged", "cells_not_judged", "cells_blank", "cells_rejected")
    verdict = counts["fit"] + counts["unfit"] + counts["undecided"]
    return counts["cells_read"] == sum(counts[c] for c in cells) and verdict == counts["samples"]


CONTROLLED = f"""{WATER},Certified chloride (mg/L)
QC-1,check standard,2031-05-02,,100,,,100
A,routine,2031-05-02,60,12,20,7.4,
QC-1,check standard,2031-05-02,,130,,,100
B,routine,2031-05-02,60,90,20,7.4,
QC-1,check standard,2031-05-02,,101,,,100
C,routine,2031-05-02,60,12,20,7.4,
"""


def test_results_beside_a_failed_standard_are_undecided(tmp_path):
    assessment = assess(tmp_path, CONTROLLED)
    words = verdicts(assessment)
    assert words == ["undecided"] * 5 + ["fit"]
    said = because(assessment)
    assert said[0] == "a blank, standard or spike shows how a laboratory works, not a unit"
    assert said[1].startswith(
        "Control failed: check standard in row 4 read 130 for chloride of 100"
    )
    results = assessment.results
    of_b = results[(results["sample_id"] == "B") & (results["analyte"] == "chloride")].iloc[0]
    assert of_b["state"] == "undecided"  # 90 mg/L would be outside
    assert of_b["source"].startswith("undecided: control failed: check standard in row 4")
    assert (results[results["sample_id"] == "B"]["state"] == "undecided").sum() == 1
    assert adds_up(assessment)
    asked = assessment.readings.questions
    assert asked[["row", "column"]].values.tolist() == [[4, "chloride"]]


def test_a_failed_standard_leaves_rules_undecided(tmp_path):
    header = WATER.replace("Hardness", "Hardness").replace("Sulfate (mg/L)", "Sulfate (mg/L)")
    text = f"""{header},Certified chloride (mg/L)
QC-1,check standard,2031-05-02,,130,,,100
A,routine,2031-05-02,60,150,120,7.4,
"""
    assessment = assess(tmp_path, text, limits="inhibitor_water")
    judged = assessment.headline
    rule = [q.key for q in judged.quantities if q.column is None]
    assert rule
    place = len(judged.quantities) - 1
    assert STATE_NAMES[judged.state[1, place]] == "undecided"


def test_a_standard_without_a_value_is_one_line_and_nothing_else(tmp_path):
    text = CONTROLLED.replace("Certified chloride (mg/L)", "Remark").replace(",100\n", ",\n")
    assessment = assess(tmp_path, text)
    assert verdicts(assessment)[3] == "unfit"
    problems = assessment.readings.rejected["problem"].tolist()
    assert len(problems) == 3
    assert all(p.startswith("a check standard without a certified value") for p in problems)
    assert adds_up(assessment)


COOLANT = "Sample No,Unit,Date,Technology,pH,Glycol (%),Sampling point"


def test_an_unrepresentative_sample_is_shown_and_undecided(tmp_path):
    text = f"""{COOLANT}
A,U1,2031-05-01,hybrid,8.2,50,radiator
B,U1,2031-05-02,hybrid,8.2,50,overflow bottle
C,U2,2031-05-02,hybrid,6.1,20,drain cock
"""
    assessment = assess(tmp_path, text, material=None)
    assert verdicts(assessment)[1:] == ["undecided", "undecided"]
    said = because(assessment)
    assert said[1].startswith("Sample not representative: taken from the overflow bottle")
    assert said[2].startswith("Sample not representative: taken from a drain")
    assert not said[0].startswith("Sample not representative")
    results = assessment.results
    of_c = results[results["sample_id"] == "C"]
    assert of_c["lower"].notna().all()  # shown
    assert not of_c["state"].isin(["outside", "inside", "warning"]).any()
    assert adds_up(assessment)
    shares = assessment.headline.undecided_share
    assert min(shares.values()) >= 2 / 3  # under every rule


def test_twenty_pairs_narrow_the_uncertainty(tmp_path):
    random = np.random.default_rng(3)
    rows = []
    for k in range(25):
        level = random.uniform(20, 60)
        for kind in ("routine", "duplicate"):
            value = level * (1 + 0.005 * random.standard_normal())
            rows.append(f"S{k},{kind},2031-05-01,60,{value:.3f},20,7.4")
    rows.append("X,routine,2031-05-02,60,38.5,20,7.4")
    assessment = assess(tmp_path, "\n".join([WATER, *rows]))
    # 38.5 against 40: undecided with the library's 5 %, inside with the laboratory's 0.5 %.
    assert verdicts(assessment)[-1] == "fit"
    few = assess(tmp_path, "\n".join([WATER, *rows[:20], rows[-1]]))
    assert verdicts(few)[-1] == "undecided"
    assert any("used in place of the library's" in line for line in assessment.assumptions)
    assert any("too few to replace" in line for line in few.assumptions)


def test_a_blank_makes_its_days_readings_open(tmp_path):
    text = f"""{WATER}
B,blank,2031-05-02,,60,,
A,routine,2031-05-02,60,50,20,7.4
C,routine,2031-05-03,60,50,20,7.4
"""
    assessment = assess(tmp_path, text)
    assert verdicts(assessment) == ["undecided", "undecided", "unfit"]
    place = assessment.readings.position("chloride")
    assert assessment.readings.lower[1, place] == 0.0
    assert any("no higher than the blank" in line for line in assessment.assumptions)
    assert adds_up(assessment)


def test_questions_change_no_verdict(tmp_path):
    text = f"""{COOLANT},Freeze Pt (C),Received
A,U1,2031-05-01,hybrid,8.2,50,radiator,-12,2031-04-20
B,U1,2131-05-02,hybrid,8.2,50,radiator,-37,2131-05-04
"""
    assessment = assess(tmp_path, text, material=None)
    plain = assess(tmp_path, text.replace("-12", "-37").replace("2131", "2031"), material=None)
    assert verdicts(assessment) == verdicts(plain)
    asked = assessment.readings.questions
    assert asked["column"].tolist() == ["Received", "freezing_point", "taken_on"]
    assert not len(plain.readings.questions.query("column != 'Received'"))


def test_hardness_and_solids_are_asked_about_once(tmp_path):
    text = """Sample No,Hardness (mg/L as CaCO3),Ca (mg/L),Mg (mg/L),TDS (mg/L),EC (uS/cm)
A,300,40,10,300,500
B,141,40,10,900,500
"""
    asked = assess(tmp_path, text).readings.questions
    assert asked[["row", "column"]].values.tolist() == [
        [2, "total_hardness"], [3, "total_dissolved_solids"],
    ]  # fmt: skip


def test_a_shared_cause_is_said_before_the_units(tmp_path):
    random = np.random.default_rng(9)
    rows = ["Sample No,Unit,Date,Technology,Depot,Chloride (mg/L),Boron (mg/L)"]
    number = 0
    for month in range(1, 13):
        for unit in range(16):
            depot = "North" if unit < 8 else "South"
            level = 20 * (1.8 if depot == "North" and month >= 7 else 1.0)
            number += 1
            values = (
                level * (1 + 0.03 * random.standard_normal()),
                400 + 8 * random.standard_normal(),
            )
            rows.append(
                f"S{number},U{unit},2030-{month:02}-{unit + 1:02},hybrid,{depot},"
                f"{values[0]:.2f},{values[1]:.1f}"
            )
    assessment = assess(tmp_path, "\n".join(rows), material=None)
    [cause] = assessment.shared_causes
    assert cause.startswith(
        "chloride (1.8 times) shifted together in 8 units of depot North from 2030-07"
    )
    first = assessment.readings.questions.iloc[0]
    assert (first["column"], first["text"]) == ("depot", "North")


@pytest.mark.parametrize("name", ["wqx_usgs_36sites.csv", "wqx_rivers_timeseries.csv"])
def test_real_files_still_add_up_and_raise_few_questions(open_data, name):
    readings = read_results(open_data / "wqx" / name)
    assessment = check(readings, today=date(2026, 1, 1))
    assert adds_up(assessment)
    own = assessment.readings.questions
    by_history = own[own["question"].str.contains("history|shifted|exchanged|moved|puts it")]
    assert by_history["row"].nunique() <= 0.02 * len(readings.samples)


IONS = "Ca (mg/L),Mg (mg/L),Na (mg/L),Alkalinity (mg/L as CaCO3),TDS (mg/L),Conductivity (uS/cm)"
CONTRADICTED = f"""{WATER},{IONS}
good,routine,2031-05-02,141,12,40,7.4,40,10,12,124,190,310
unbalanced,routine,2031-05-02,141,12,40,7.4,40,10,112,124,190,310
unbalanced,routine,2031-05-03,900,12,40,7.4,40,10,112,124,190,310
off by ten,routine,2031-05-02,141,12,40,7.4,40,10,12,124,1900,310
possible,routine,2031-05-02,141,12,40,8.6,,,,20,190,310
impossible,routine,2031-05-03,141,12,40,11,,,,2,190,310
off by ten,routine,2031-05-03,900,12,40,7.4,40,10,12,124,1900,310
"""


def test_readings_that_rule_each_other_out_withhold_the_verdict(tmp_path):
    """Whole samples where the charges do not balance, and else what is contradicted."""
    assessment = assess(tmp_path, CONTRADICTED)
    assert verdicts(assessment) == [
        "fit",
        "undecided",
        "undecided",  # though its hardness is far beyond the bound
        "undecided",
        "fit",
        "undecided",
        "unfit",  # by the hardness, which nothing contradicts
    ]
    said = because(assessment)
    assert said[1].startswith("Cations and anions differ by more than 10 %")
    assert said[3].startswith("Dissolved solids and conductivity rule each other out")
    assert said[5].startswith("Alkalinity and pH rule each other out")
    assert adds_up(assessment)
