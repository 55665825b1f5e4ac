"""Figures of waters from readings: against PHREEQC, against brute force, and what was not read."""

import warnings
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from chemcheck.chemistry.carbonate import heat, open_to_air, speciate
from chemcheck.chemistry.ions import IONS
from chemcheck.chemistry.precipitation import precipitation_potential
from chemcheck.chemistry.saturation import saturation_index
from chemcheck.chemistry.waters import water_per_litre
from chemcheck.intake.read import read_results
from chemcheck.judging.water_analysis import (
    BY_CEILING,
    BY_CHARGES,
    BY_DIFFERENCE,
    LABORATORY_TEMPERATURE,
    SHARE_OF_HARDNESS,
    TAP_TEMPERATURE,
    water_analysis,
)
from chemcheck.judging.water_figures import (
    IndexTemperature,
    usual_temperatures,
    water_figures,
)
from tests.builders import readings
from tests.chemistry.conftest import ComparedWaters
from tests.chemistry.conftest import compared as compared  # the fixture

IONS_READ = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate")
# A hard tap water, invented; its charges balance to 0.2 %.
TAP = {
    "ph": 7.4,
    "total_alkalinity": 278.0,
    "calcium": 112.0,
    "magnesium": 17.7,
    "sodium": 25.1,
    "potassium": 1.98,
    "chloride": 29.3,
    "sulfate": 95.0,
    "water_temperature": 15.0,
}


def waters(**columns):
    """Build readings of water, one list of cells a column."""
    return readings(columns, material="water")


def one(**changes):
    """Build the readings of the tap water with some changed, None for not read."""
    kept = {key: cell for key, cell in (TAP | changes).items() if cell is not None}
    return waters(**{key: [cell] for key, cell in kept.items()})


def figures_of(water, *degrees, vented=False):
    asked = [IndexTemperature(str(each), each) for each in degrees] or usual_temperatures()
    return water_figures(water, np.arange(len(water.samples)), asked, vented=vented)


def per_litre(compared: ComparedWaters) -> dict[str, np.ndarray]:
    """Return the compared waters as a laboratory would report them [mg/L]."""
    totals = compared.totals
    equivalents = {name: getattr(totals, name) * IONS[name].molar_mass for name in IONS_READ}
    equivalents["total_alkalinity"] = totals.alkalinity * 50.043
    # Kilograms of water in a litre depend on the salts in it, which begin to count at 1 g/L.
    litre = np.full(compared.ph.shape, 0.998)
    for _ in range(20):
        mass = {name: values * litre * 1e3 for name, values in equivalents.items()}
        bicarbonate = mass["total_alkalinity"] * 61.017 / 50.043
        litre = water_per_litre(sum(mass[name] for name in IONS_READ) + bicarbonate)
    return mass


def test_figures_of_readings_are_those_of_phreeqc(compared: ComparedWaters) -> None:
    """Readings in mg/L, sampled at 25 C: within the tolerances of the chemistry."""
    mass = per_litre(compared)
    water = waters(ph=compared.ph, **mass, water_temperature=np.full(compared.ph.size, 25.0))
    found = figures_of(water, 10.0, 25.0, 60.0, 90.0)
    for degrees, answers in compared.answers.items():
        at = found.closed[str(degrees)]
        index = 0.01 if degrees <= 25 else 0.02
        for key, reference, tolerance in (
            ("ph", "ph", 0.005),
            ("calcite_si", "calcite", index),
            ("aragonite_si", "aragonite", index),
            ("anhydrite_si", "anhydrite", index),
        ):
            assert at[key].lower == pytest.approx(answers[reference], abs=tolerance)
            assert np.array_equal(at[key].lower, at[key].upper)
        potential = at["ccpp_mg_per_kg"].lower
        assert np.all(np.abs(potential - answers["ccpp"]) < np.maximum(1, 0.01 * answers["ccpp"]))


def test_the_textbook_case_of_the_short_formula() -> None:
    """pH 7.5, solids 320, Ca 150, alkalinity 34: -0.7 at 25 C, +0.3 at 82 C.

    Corrosion Engineering: Principles and Practice, chapter 8, p. 317 (published).
    """
    water = waters(
        ph=[7.5],
        total_dissolved_solids=[320.0],
        calcium_hardness=[150.0],
        total_alkalinity=[34.0],
        water_temperature=[25.0],
    )
    found = figures_of(water, 25.0, 82.0)
    index = [found.closed[label]["langelier_index"] for label in ("25.0", "82.0")]
    assert [float(each.lower[0]) for each in index] == pytest.approx([-0.7, 0.3], abs=0.05)
    assert [each.lower[0] == each.upper[0] for each in index] == [True, True]


STRIP = {
    "ph": (7.0, 8.0),
    "total_alkalinity": (80.0, 180.0),
    "calcium": (40.0, 90.0),
    "magnesium": (0.0, 20.0),
    "sodium": (0.0, 60.0),
    "potassium": (0.0, 12.0),
    "chloride": (15.0, 80.0),
    "sulfate": (10.0, 120.0),
    "water_temperature": (5.0, 25.0),
}


def sampled_figures(drawn, degrees, vented):
    """Return pH, calcite index and potential of waters drawn at random, by the chemistry alone."""
    names = {"total_alkalinity": "alkalinity", "water_temperature": "temperature"}
    water = speciate(**{names.get(key, key): values for key, values in drawn.items()})
    water = open_to_air(water, degrees) if vented else heat(water, degrees)
    return {
        "ph": water.ph,
        "calcite_si": saturation_index(water, "calcite"),
        "gypsum_si": saturation_index(water, "gypsum"),
        "ccpp_mg_per_kg": precipitation_potential(water).potential,
    }


@pytest.mark.parametrize(
    "exact",
    [(), ("ph", "total_alkalinity", "calcium", "magnesium", "sulfate")],
    ids=["strip", "ions not read"],
)
def test_ranges_contain_brute_force(exact: tuple[str, ...]) -> None:
    box = {key: (ends[0] if key in exact else ends) for key, ends in STRIP.items()}
    found = figures_of(one(**box), 25.0, 60.0, 90.0, vented=True)
    rng = np.random.default_rng(11)
    drawn = {
        key: np.full(4000, ends[0]) if key in exact else rng.uniform(*ends, 4000)
        for key, ends in STRIP.items()
    }
    for degrees in (25.0, 60.0, 90.0):
        for vented, answer in ((False, found.closed), (True, found.vented)):
            for key, values in sampled_figures(drawn, degrees, vented).items():
                ends = answer[str(degrees)][key]
                assert ends.lower[0] <= values.min() <= values.max() <= ends.upper[0], key
                # And not much wider than needed: what was drawn fills most of it.
                assert np.ptp(values) > 0.5 * (ends.upper[0] - ends.lower[0] - 0.5), key


def test_wider_readings_never_narrow_a_figure() -> None:
    narrow = figures_of(one(ph=(7.3, 7.5), calcium=(100.0, 120.0)), 60.0).closed["60.0"]
    wide = figures_of(one(ph=(7.2, 7.6), calcium=(90.0, 120.0), sodium=(0.0, 80.0)), 60.0)
    for key, ends in wide.closed["60.0"].items():
        assert ends.lower[0] <= narrow[key].lower[0] + 1e-9
        assert ends.upper[0] >= narrow[key].upper[0] - 1e-9


@pytest.mark.parametrize(
    ("method", "how", "ends"),
    [
        (None, TAP_TEMPERATURE, (5, 25)),
        ("strip", TAP_TEMPERATURE, (5, 25)),
        ("laboratory", LABORATORY_TEMPERATURE, (15, 30)),
    ],
)
def test_a_temperature_that_was_not_read_is_an_interval(method, how, ends) -> None:
    """5 to 25 C of a tap, 15 to 30 C of a laboratory (common practice)."""
    cells = {key: [cell] for key, cell in TAP.items() if key != "water_temperature"}
    water = readings(cells, material="water", method=method)
    analysis = water_analysis(water, np.array([0]))
    assert (analysis.lower["temperature"][0], analysis.upper["temperature"][0]) == ends
    assert analysis.assumed["temperature", how].tolist() == [True]
    cold = figures_of(water).closed["cold"]["calcite_si"]
    assert cold.lower[0] < cold.upper[0]


def test_hardness_without_calcium_bounds_it() -> None:
    """All of 300 mg/L as CaCO3 is 120.1 mg/L of calcium or 72.9 of magnesium (2.4973, 4.1179)."""
    water = one(calcium=None, magnesium=None, total_hardness=300.0)
    analysis = water_analysis(water, np.array([0]))
    assert analysis.upper["calcium"][0] == pytest.approx(300 / 2.4973, rel=1e-4)
    assert analysis.upper["magnesium"][0] == pytest.approx(300 / 4.1179, rel=1e-4)
    assert analysis.lower["calcium"][0] == analysis.lower["magnesium"][0] == 0
    assert ("calcium", SHARE_OF_HARDNESS) in analysis.assumed
    index = figures_of(water).closed["60"]["calcite_si"]
    assert np.isneginf(index.lower[0])
    assert np.isfinite(index.upper[0])
    # One of the two metals and the hardness say the other.
    other = water_analysis(one(magnesium=None, total_hardness=352.6), np.array([0]))
    assert other.lower["magnesium"][0] == pytest.approx(17.7, abs=0.05)
    assert ("magnesium", BY_DIFFERENCE) in other.assumed


def test_a_missing_alkalinity_is_what_the_charges_leave() -> None:
    analysis = water_analysis(one(total_alkalinity=None), np.array([0]))
    low, high = (ends["alkalinity"][0] for ends in (analysis.lower, analysis.upper))
    assert low < 278 < high < 400
    assert ("alkalinity", BY_CHARGES) in analysis.assumed


def test_ions_not_read_are_bounded_and_said() -> None:
    analysis = water_analysis(one(sodium=None, sulfate=None), np.array([0]))
    # 200 mg/L of sodium (memory: EU), 250 of sulfate (40 CFR 143.3).
    assert analysis.upper["sodium"][0] == 200
    assert analysis.upper["sulfate"][0] == 250
    assert {name for name, how in analysis.assumed if how == BY_CEILING} == {"sodium", "sulfate"}
    # Dissolved solids leave less room: sodium as carbonate is 43.4 % of its salt.
    solids = water_analysis(one(sodium=None, total_dissolved_solids=100.0), np.array([0]))
    assert solids.upper["sodium"][0] == pytest.approx(100 * 22.99 / (22.99 + 30.005), rel=1e-3)


def test_nothing_is_reckoned_without_ph_or_of_coolant() -> None:
    figures = figures_of(one(ph=None))
    assert np.isnan(figures.closed["60"]["calcite_si"].lower[0])
    assert figures.larson_skold.lower[0] == pytest.approx(0.505, abs=0.01)
    coolant = readings({key: [cell] for key, cell in TAP.items()})
    assert np.isnan(figures_of(coolant).closed["60"]["calcite_si"].upper[0])
    assert np.isnan(figures_of(coolant).larson_skold.upper[0])


def test_other_solids_need_their_ions() -> None:
    """Silica of 10 mg/L lies far below the solubility at 25 C, 116 mg/L (log K -2.71, PHREEQC)."""
    water = one(silicon=10.0 * 28.085 / 60.083, phosphate=1.0)
    found = water_figures(water, np.array([0]), [IndexTemperature("25", 25.0)], others=True).others[
        "25"
    ]
    assert found["amorphous_silica_si"].lower[0] == pytest.approx(np.log10(10 / 116), abs=0.03)
    assert found["hydroxyapatite_si"].lower[0] > 0 > found["brucite_si"].upper[0]
    without = water_figures(one(), np.array([0]), usual_temperatures(), others=True).others["60"]
    assert not np.isfinite(without["amorphous_silica_si"].upper[0])
    assert not np.isfinite(without["hydroxyapatite_si"].upper[0])
    assert np.isfinite(without["brucite_si"].lower[0])


def test_waters_that_take_a_search_can_be_left_out() -> None:
    water = waters(**{key: [cell, cell] for key, cell in TAP.items()})
    water.lower[1, 0] = 7.2
    found = water_figures(water, np.arange(2), usual_temperatures(), search=False)
    assert found.left_out.tolist() == [False, True]
    assert np.isnan(found.closed["60"]["calcite_si"].lower).tolist() == [False, True]


def test_nothing_warns() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        figures_of(waters(ph=[10.5, 7.0], total_alkalinity=[2.0, 1e4], calcium=[40.0, 9e4]))


@pytest.mark.parametrize(
    "changes",
    [
        {"calcium": None, "magnesium": None, "total_hardness": (400.0, np.inf)},
        {"sulfate": (200.0, np.inf), "total_alkalinity": None},
        {"total_alkalinity": (0.0, np.inf), "water_temperature": (-1.0, 2.0)},
        {"ph": (9.0, 14.0), "chloride": (0.0, np.inf), "sodium": None},
    ],
)
def test_open_ends_go_through(changes: dict[str, object]) -> None:
    found = figures_of(one(**changes), 60.0).closed["60.0"]
    for ends in found.values():
        assert not ends.lower[0] > ends.upper[0]


def test_hems_analyses_balance(open_data: Path) -> None:
    """Four published analyses (Hem, Water-Supply Paper 2254; USGS smwrData): within 2 %."""
    found = read_results(open_data / "water" / "MiscGW.csv", material="water")
    balance = water_figures(found, np.arange(4), usual_temperatures()).charge_balance
    assert np.abs(balance.lower).max() < 2
    assert np.array_equal(balance.lower, balance.upper)


def test_charge_balance_against_printed_answers(open_data: Path) -> None:
    """USGS smwrData IonBalance: stream analyses with the percent difference printed."""
    table = pd.read_csv(open_data / "water" / "IonBalance.csv").dropna(subset=["Alk"])
    columns = {
        "calcium": table["Ca"] * 20.039,
        "magnesium": table["Mg"] * 12.1525,
        "sodium": table["Na"] * 22.990,
        "potassium": table["K"] * 39.098,
        "chloride": table["Cl"] * 35.45,
        "sulfate": table["SO4"] * 48.03,
        "nitrate": table["NO2NO3"].fillna(0.0) * 62.004,
        "fluoride": table["F"].fillna(0.0) * 18.998,
        "total_alkalinity": table["Alk"] * 50.043,
        "ph": 7.5 + 0.0 * table["Ca"],
    }
    found = figures_of(waters(**{key: cells.tolist() for key, cells in columns.items()}))
    off = found.charge_balance.lower - table["Pct_Diff"].to_numpy()
    # Iron and manganese, which the answers count, are not among the ions here.
    assert np.abs(off).max() < 0.3
