"""Balances of samples read from files: worked examples 14 and 15, simulated top-up by top-up."""

import pandas as pd
import pytest

from chemcheck import check, read_results
from chemcheck.causes.top_up_fluids import fluid_of
from chemcheck.intake.events import read_events
from chemcheck.remedies.estimate import exact
from chemcheck.reports.balance_words import balance_words
from tests.remedies.mixing import Vessel

FRESH = {"chloride": 8.0, "glycol": 50.0, "sulfate": 10.0, "hardness": 0.0, "reserve": 8.0}
TAP = {"chloride": 85.0, "glycol": 0.0, "sulfate": 120.0, "hardness": 310.0, "reserve": 0.5}
TITLES = {
    "chloride": "Chloride (mg/L)",
    "glycol": "Glycol (vol%)",
    "sulfate": "Sulfate (mg/L)",
    "hardness": "Total hardness (mg/L as CaCO3)",
    "reserve": "Reserve alkalinity (mL)",
}


def assess(tmp_path, levels, top_ups, fluid="tap water", water=True, system="12", **more):
    """Check a fresh fill, the tap water and a sample of a unit with a log of top-ups."""
    rows = [
        ("F", "", "2025-01-01", "fresh fill", "coolant", "heavy duty", "", FRESH | {"ph": 10.0}),
        ("A", "U1", "2025-12-01", "routine", "coolant", "heavy duty", system, levels),
    ]
    if water:
        tap = {key: TAP[key] for key in ("chloride", "sulfate", "hardness")}
        rows.append(("W", "", "2025-01-02", "routine", "water", "", "", tap))
    columns = {**TITLES, "ph": "pH", **more}
    table = pd.DataFrame(
        [
            {
                "Sample No": name, "Unit": unit, "Date": day, "Sample Type": kind,
                "Material": material, "Technology": technology, "System volume (L)": volume,
                **{title: found.get(key) for key, title in columns.items()},
            }
            for name, unit, day, kind, material, technology, volume, found in rows
        ]
    )  # fmt: skip
    file, log = tmp_path / "log.csv", tmp_path / "events.csv"
    table.to_csv(file, index=False)
    pd.DataFrame(
        [
            {"unit_id": "U1", "date": f"2025-02-{k + 1:02d}", "event": "top-up", "litres": litres,
             "fluid": fluid}
            for k, litres in enumerate(top_ups)
        ],
        columns=["unit_id", "date", "event", "litres", "fluid"],
    ).to_csv(log, index=False)  # fmt: skip
    answer = check(read_results(file), events=read_events(log) if top_ups else None)
    return answer, answer.balances.of_sample(1)


def chloride(balance):
    return next(one for one in balance.contaminants if one.analyte == "chloride")


def test_example_14_grams_of_salt_and_millilitres_of_sea_water(tmp_path):
    # Worked example (computed here): 60 mg/L found, 8 fresh, two litres of 85: 37.8 mg/L
    # unexplained if it evaporated, 0.75 g of salt or 23 mL of sea water.
    _, balance = assess(tmp_path, FRESH | {"chloride": 60.0}, [1.0, 1.0])
    one = chloride(balance)
    assert one.topped_up == 2.0
    assert one.evaporation.surely_more
    assert one.evaporation.remains.lower < 37.8 < one.evaporation.remains.upper
    assert one.evaporation.salt.lower < 0.75 < one.evaporation.salt.upper
    assert one.evaporation.seawater.lower < 23 < one.evaporation.seawater.upper
    # By a leak less is explained: 85 + (8 - 85) (11/12)^2 = 20.3, 39.7 mg/L remain.
    assert one.leak.level.lower < 20.3 < one.leak.level.upper
    assert one.leak.remains.lower < 39.7 < one.leak.remains.upper


@pytest.mark.parametrize("physics", ["leak", "evaporation"])
def test_example_14_spoon_of_salt_recovered(tmp_path, physics):
    vessel = Vessel.of(12.0, **FRESH)
    for _ in range(2):
        vessel.drain(1.0) if physics == "leak" else vessel.evaporate(1.0)
        vessel.add(1.0, **TAP)
    grams = 0.75
    vessel.amounts["chloride"] += 1000.0 * grams * 35.45 / 58.44
    _, balance = assess(tmp_path, {key: vessel.level(key) for key in FRESH}, [1.0, 1.0])
    explained = getattr(chloride(balance), physics)
    assert explained.salt.lower < grams < explained.salt.upper
    others = [one for one in balance.contaminants if one.analyte != "chloride"]
    assert {one.analyte for one in others} == {"sulfate", "total_hardness"}
    assert not any(getattr(one, physics).surely_more for one in others)


@pytest.mark.parametrize(("physics", "level"), [("evaporation", 75.8), ("leak", 51.5)])
def test_example_15_glycol_says_which_it_was(tmp_path, physics, level):
    # Worked example (computed here): ten litres of 85 mg/L, 5 fresh: 75.8 or 51.5 mg/L, and
    # glycol down to 42 % of its value by a leak.
    vessel = Vessel.of(12.0, **(FRESH | {"chloride": 5.0}))
    for _ in range(10):
        vessel.drain(1.0) if physics == "leak" else vessel.evaporate(1.0)
        vessel.add(1.0, **TAP)
    assert vessel.level("chloride") == pytest.approx(level, abs=0.05)
    answer, balance = assess(tmp_path, {key: vessel.level(key) for key in FRESH}, [1.0] * 10)
    one = chloride(balance)
    assert one.physics == physics
    assert not getattr(one, physics).surely_more
    said = " ".join(balance_words(answer.balances.of_sample(1)))
    assert f"had {'leaked' if physics == 'leak' else 'evaporated'}" in said


def test_a_ready_mix_brings_what_the_fresh_fill_held(tmp_path):
    _, balance = assess(tmp_path, FRESH, [3.0], fluid="premix 50/50")
    one = chloride(balance)
    # By a leak nothing changes; by evaporation a quarter comes on top.
    assert (one.leak.level.lower + one.leak.level.upper) / 2 == pytest.approx(8.0)
    assert (one.evaporation.level.lower + one.evaporation.level.upper) / 2 == pytest.approx(10.0)


def test_deionised_water_brings_next_to_nothing(tmp_path):
    _, balance = assess(tmp_path, FRESH | {"chloride": 30.0}, [2.0], fluid="deionised water")
    assert chloride(balance).evaporation.level.upper < 11.0


def test_water_of_its_name_counts_and_stated_water_comes_first(tmp_path):
    answer, _ = assess(tmp_path, FRESH, [1.0])
    stated = check(
        answer.readings,
        events=read_events(tmp_path / "events.csv"),
        top_up_water={"chloride": exact(10.0)},
    )
    level = chloride(stated.balances.of_sample(1)).evaporation.level
    assert level.lower < 8.0 + 10.0 / 12.0 < level.upper < 12.0


@pytest.mark.parametrize(
    ("change", "need"),
    [
        ({"water": False}, "chloride, sulfate, total_hardness of what was topped up"),
        ({"system": ""}, "the volume of the system"),
        ({"fluid": "blue stuff"}, "of what was topped up"),
        ({"top_ups": [1.0, None]}, "the litres of 1 top-ups are not logged"),
    ],
)
def test_what_is_not_known_is_named(tmp_path, change, need):
    arguments = {"levels": FRESH, "top_ups": [1.0]} | change
    _, balance = assess(tmp_path, **arguments)
    assert balance.contaminants == ()
    assert any(need in one for one in balance.needs)
    assert need in " ".join(balance_words(balance))


def test_a_volume_that_cannot_be_is_asked_about(tmp_path):
    answer, balance = assess(tmp_path, FRESH, [1.0], system="a lot")
    assert balance.contaminants == ()
    asked = answer.readings.questions
    assert asked["question"].str.contains("is taken as unknown").sum() == 1


def test_ph_down_with_reserve_steady_is_carbon_dioxide(tmp_path):
    _, balance = assess(tmp_path, FRESH | {"ph": 7.2}, [])
    assert balance.reserve.carbon_dioxide
    assert "evidence for carbon dioxide" in " ".join(balance_words(balance))


def test_ph_down_with_the_reserve_is_acid(tmp_path):
    # Worked example (computed here): 1000 mg/L of glycolate use up 1.3 units.
    more = {"glycolate": "Glycolate (mg/L)"}
    levels = FRESH | {"ph": 7.2, "reserve": 2.0, "glycolate": 1000.0}
    _, balance = assess(tmp_path, levels, [], **more)
    assert not balance.reserve.carbon_dioxide
    explained = balance.reserve.balance.explained
    assert explained.lower < 1.3 < explained.upper
    assert "that was not measured" in " ".join(balance_words(balance))


def test_no_fresh_fill_no_balance(tmp_path):
    answer, _ = assess(tmp_path, FRESH, [])
    assert answer.balances.of_sample(0).contaminants == ()
    assert balance_words(answer.balances.of_sample(2)) == ()


@pytest.mark.parametrize(
    ("text", "kind"),
    [("Tap water", "water"), ("DI water", "deionised"), ("destilliertes Wasser", "deionised"),
     ("concentrate", "concentrate"), ("Leitungswasser", "water"), ("", "unknown"),
     ("50/50", "premix"), ("supplemental additive", "unknown")],
)  # fmt: skip
def test_kinds_of_fluid(text, kind):
    # common practice, no source
    assert fluid_of(text) == kind
