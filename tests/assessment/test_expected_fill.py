"""The finished fill of a refill, by a vessel, and read back as the reference it is."""

from datetime import date

import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner

from chemcheck import check, read_results
from chemcheck.assessment.expected_fill import expected_fill
from chemcheck.assessment.refill import refill
from chemcheck.cli.main import main
from chemcheck.errors import QuantityError
from chemcheck.readings.record import ReadingColumn
from chemcheck.remedies.estimate import between, exact
from chemcheck.reports.balance_words import balance_words
from chemcheck.reports.expected_fill_csv import expected_fill_text
from tests.builders import readings
from tests.remedies.mixing import Vessel

# An invented new mix, about half concentrate, and the tap water that was rinsed with.
MIX = {"glycol:by_volume": 47.0, "nitrite": 1500.0, "boron": 300.0, "chloride": 6.0}
TAP = {"chloride": 85.0}
NITRITE, CHLORIDE = ReadingColumn("nitrite"), ReadingColumn("chloride")
GLYCOL = ReadingColumn("glycol", "by_volume")


def coolant(**more):
    cells = {key: [value] for key, value in (MIX | more).items()}
    return readings(
        cells, technology="heavy_duty_additive", glycol_type="ethylene_glycol",
        sample_type="fresh fill",
    )  # fmt: skip


def reckoned(system=None, **more):
    system = system or exact(12.0)
    answer = refill(exact(50.0), system=system, drains=exact(8.0), **more)
    return expected_fill(answer, coolant(), inside_water={"chloride": exact(85.0)})


@pytest.mark.parametrize("strength", [91.5, 94.0, 96.5])
@pytest.mark.parametrize("volume", [11.0, 12.0, 13.0])
def test_a_vessel_filled_so_holds_what_is_expected(strength, volume):
    # The mix holds 47 / strength of concentrate; 6 L of it and 2 L of pure water go in.
    found = reckoned(between(11.0, 13.0, value=12.0))
    share = MIX["glycol:by_volume"] / strength
    vessel = Vessel.of(volume, chloride=85.0)
    vessel.drain(8.0)
    vessel.add(6.0, glycol=strength, nitrite=1500.0 / share, boron=300.0 / share)
    vessel.add(2.0)
    for column in (GLYCOL, NITRITE, ReadingColumn("boron")):
        level = found.levels[column]
        assert level.lower <= vessel.level(column.analyte) <= level.upper


def test_mass_is_kept():
    # 6 L at twice 6 mg/L x 47/94, 2 L of up to 1 mg/L, 4 L of 85 mg/L, in 12 L.
    level = reckoned().levels[CHLORIDE]
    middle = (6.0 * 6.0 * 94.0 / 47.0 + 2.0 * 0.5 + 4.0 * 85.0) / 12.0
    assert float(level.value) == pytest.approx(middle, rel=0.01)
    assert level.lower < middle < level.upper


def test_ready_mix_after_a_flush_is_too_thin():
    # Worked example (computed here): 33 %, not 50.
    found = reckoned(premix=exact(50.0))
    vessel = Vessel.of(4.0)
    vessel.add(4.0, concentrate=50.0)
    vessel.add(4.0, concentrate=100.0)
    assert vessel.level("concentrate") == pytest.approx(50.0)
    level = found.levels[GLYCOL]
    assert level.lower < 47.0 < level.upper


def test_old_coolant_that_stays_counts():
    answer = refill(
        exact(50.0), system=exact(12.0), drains=exact(8.0), current=exact(50.0), way="change"
    )
    old = readings({"glycol:by_volume": [47.0], "nitrite": [300.0], "chloride": [60.0]})
    found = expected_fill(answer, coolant(), old=old)
    vessel = Vessel.of(12.0, nitrite=300.0)
    vessel.drain(8.0)
    vessel.add(8.0, nitrite=1500.0)
    level = found.levels[NITRITE]
    assert level.lower <= vessel.level("nitrite") <= level.upper
    assert ReadingColumn("boron") not in found.levels
    assert "boron" in found.left_out


def test_water_that_nobody_knows_leaves_its_salts_out():
    answer = refill(exact(50.0), system=exact(12.0), drains=exact(8.0))
    found = expected_fill(answer, coolant(ph=9.0))
    assert CHLORIDE not in found.levels
    assert set(found.left_out) == {"chloride", "pH"}
    [asked] = found.questions
    assert "the rinse water that stays inside (--inside-water) hold of chloride" in asked


def test_which_sample_is_asked_for():
    two = readings({"glycol:by_volume": [47.0, 48.0], "nitrite": [1500.0, 1400.0]})
    answer = refill(exact(50.0), system=exact(12.0), drains=exact(8.0))
    with pytest.raises(QuantityError, match="holds 2 samples of coolant"):
        expected_fill(answer, two)
    assert NITRITE in expected_fill(answer, two, sample_id="S1").levels
    with pytest.raises(QuantityError, match="holds 0 named 'S9'"):
        expected_fill(answer, two, sample_id="S9")
    with pytest.raises(QuantityError, match="glycol of the new coolant was not read"):
        expected_fill(answer, readings({"nitrite": [1500.0]}))


@pytest.fixture
def written(tmp_path):
    """Write a reference row and return what reads it beside samples of the unit."""
    path = tmp_path / "reference.csv"
    path.write_text(expected_fill_text(reckoned(), "U1", date(2025, 1, 1)))

    def beside(*samples, **events):
        file = tmp_path / "samples.csv"
        pd.DataFrame(
            [
                {
                    "Sample No": f"A{k}", "Unit": "U1", "Date": f"2025-0{k + 2}-01",
                    "Material": "coolant", "Technology": "heavy duty", "pH": 9.0, **one,
                }
                for k, one in enumerate(samples)
            ]
        ).to_csv(file, index=False)  # fmt: skip
        return check(read_results([file, path]))

    return beside


AS_EXPECTED = {"Glycol (vol%)": 47, "Nitrite (mg/L)": 1500, "Boron (mg/L)": 300,
               "Chloride (mg/L)": 34}  # fmt: skip


def test_it_is_read_back_as_a_reference(written):
    answer = written(AS_EXPECTED)
    samples = answer.readings.samples
    row = samples.index[samples["sample_type"] == "expected fill"][0]
    assert answer.balances.fresh_of(0) == row
    expected = reckoned()
    for place, column in enumerate(answer.readings.columns):
        if column in expected.levels:
            level = expected.levels[column]
            assert answer.readings.lower[row, place] == pytest.approx(float(level.lower), rel=1e-4)
            assert answer.readings.upper[row, place] == pytest.approx(float(level.upper), rel=1e-4)


def test_the_first_sample_that_agrees(written):
    found = written(AS_EXPECTED, AS_EXPECTED).balances
    assert found.of_sample(0).expected.differ == ()
    assert set(found.of_sample(0).expected.agree) == {"glycol", "nitrite", "boron", "chloride"}
    assert found.of_sample(1).expected is None
    assert "As the refill should have come to are" in balance_words(found.of_sample(0))[0]


def test_what_differs_is_named(written):
    # A system that kept 2 L more water: everything of the coolant thinner by a seventh or more.
    thin = {"Glycol (vol%)": 33, "Nitrite (mg/L)": 900, "Boron (mg/L)": 190, "Chloride (mg/L)": 70}
    found = written(thin).balances.of_sample(0)
    sides = {one.analyte: one.more for one in found.expected.differ}
    assert sides == {"glycol": False, "nitrite": False, "boron": False, "chloride": True}
    assert 0.0 < found.expected.thinner.lower < 1 - 33 / 47 < found.expected.thinner.upper
    assert "thinner than reckoned" in " ".join(balance_words(found))


def test_a_measured_fresh_fill_comes_before_a_reckoned_one(written):
    answer = written(AS_EXPECTED | {"Sample Type": "fresh fill"}, AS_EXPECTED)
    samples = answer.readings.samples
    assert samples["sample_type"].iloc[answer.balances.fresh_of(1)] == "fresh fill"
    assert answer.balances.of_sample(0).expected is not None


def test_as_a_user_writes_it(tmp_path):
    new = tmp_path / "new.csv"
    new.write_text("Sample No,Technology,Glycol (vol%),Nitrite (mg/L)\nN1,heavy duty,47,1500\n")
    out = tmp_path / "reference.csv"
    base = ["refill", "--system", "12 L", "--drains", "8 L", "--target", "50 %"]
    done = CliRunner().invoke(
        main, [*base, "--reference", str(out), "--coolant", str(new), "--unit", "=U1",
               "--filled-on", "2025-01-01"],
    )  # fmt: skip
    assert done.exit_code == 0, done.stderr
    assert "The finished fill should hold" in done.stdout
    assert "The finished fill, judged" in done.stdout
    assert "heavy_duty_additive_in_service" in done.stdout
    table = pd.read_csv(out, dtype=str)
    assert table["Sample Type"].tolist() == ["expected fill"]
    assert table["Unit ID"].tolist() == ["'=U1"]
    low, high = map(float, table["nitrite (mg/L)"].iloc[0].split("-"))
    assert low < 1500 * 50 / 47 * 0.94 < high


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--reference", "x.csv"), "--reference takes the results of the new coolant"),
        (("--coolant", "x.csv"), "--reference takes the results of the new coolant"),
        (("--coolant", "x.csv", "--reference", "y.csv"), "name it with --unit"),
        (("--coolant", "x.csv", "--reference", "y.csv", "--unit", "U"), "there is no such file"),
    ],
)
def test_what_cannot_be_gets_one_clear_line(more, said):
    base = ["refill", "--system", "12 L", "--drains", "8 L", "--target", "50 %"]
    done = CliRunner().invoke(main, [*base, *more])
    assert done.exit_code == 2
    assert said in done.stderr.splitlines()[-1]
    assert np.all(["Traceback" not in done.stderr])
