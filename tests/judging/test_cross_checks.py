"""Freezing point against glycol, and the charge balance of waters: asked, never corrected."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.chemistry.ions import IONS
from chemcheck.judging.charge_balance_check import charge_balance_questions
from chemcheck.judging.freezing_point_check import freezing_point_questions
from chemcheck.readings.record import ReadingColumn
from tests.readings.build import readings_of

EG, PG = "ethylene_glycol", "propylene_glycol"


def asked(glycol, freezes, kind=EG, column="glycol"):
    column = ReadingColumn(*column) if isinstance(column, tuple) else column
    low = [[np.min(glycol), np.min(freezes)]]
    high = [[np.max(glycol), np.max(freezes)]]
    readings = readings_of({"glycol_type": [kind]}, [column, "freezing_point"], low, high)
    return freezing_point_questions(readings)["question"].tolist()


# Engine and truck makers' printed freezing points by percent of coolant.
@pytest.mark.parametrize(
    ("kind", "percent", "freezes"),
    [(EG, 40, -24), (EG, 50, -37), (EG, 60, -52), (PG, 40, -21), (PG, 50, -33), (PG, 60, -49)],
)
def test_makers_tables_raise_no_question(kind, percent, freezes):
    assert asked(percent, freezes, kind) == []
    assert len(asked(percent, freezes + 9, kind)) == 1


# Lange's Handbook, table 5.13: propylene glycol by volume.
@pytest.mark.parametrize(("percent", "freezes"), [(30, -12.8), (40, -20.6), (50, -33.3)])
def test_langes_handbook_raises_no_question(percent, freezes):
    assert asked(percent, freezes, PG) == []


def test_a_share_of_concentrate_holds_less_glycol():
    assert asked(50, -33.5, column="coolant_concentrate") == []
    assert len(asked(50, -20, column="coolant_concentrate")) == 1


def test_a_share_by_mass_is_less_by_volume():
    # 50 mass% is 47.6 vol% (egasp's table).
    assert asked(50, -33.8, column=("glycol", "by_mass")) == []


def test_the_question_says_what_would_explain_it():
    [said] = asked(50, -10, EG)
    assert said.startswith("deg C, but the glycol read freezes at -3")
    assert said.endswith("is one of the two wrong, or another fluid in it?")
    [said] = asked(33, 0.0, EG)  # 0 F is -17.8 C
    assert "as degrees Fahrenheit it fits" in said


def test_the_other_glycol_is_named():
    # 45 vol%: propylene -26.7 (Lange's), ethylene -30.5.
    [said] = asked(45, -32.5, PG)
    assert "it fits ethylene glycol: is the glycol another, or the scale read?" in said


def test_an_unknown_glycol_may_be_either():
    assert asked(40, -21, None) == []
    assert asked(40, -24.5, None) == []
    assert len(asked(40, -10, None)) == 1


def test_another_fluid_has_its_own_curve():
    assert asked(50, -10, "glycerol") == []


def test_beyond_60_percent_nothing_is_said():
    assert asked(65, -20) == []


def test_a_strip_pad_is_asked_about_only_as_a_whole():
    assert asked((30, 40), -20) == []
    assert len(asked((30, 40), -40)) == 1


IONS_READ = {"Ca": "calcium", "Mg": "magnesium", "Na": "sodium", "K": "potassium", "Cl": "chloride",
             "SO4": "sulfate", "F": "fluoride"}  # fmt: skip


def waters(table: pd.DataFrame):
    """The analyses as mg/L; alkalinity as CaCO3."""
    columns = {
        key: table[name] * IONS[key].molar_mass / abs(IONS[key].charge)
        for name, key in IONS_READ.items()
    }
    columns["total_alkalinity"] = table["Alk"] * 50.043
    lower = np.column_stack(list(columns.values()))
    return readings_of({"material": ["water"] * len(table)}, list(columns), lower)


def test_real_analyses_that_balance_are_left_alone(open_data):
    """USGS smwrData IonBalance: percent differences printed; row 1 has no alkalinity."""
    table = pd.read_csv(open_data / "water" / "IonBalance.csv")
    beyond = table["Pct_Diff"].abs() > 10
    assert beyond.tolist() == [True] + [False] * (len(table) - 1)
    assert not len(charge_balance_questions(waters(table)))  # row 1 is incomplete, not wrong


def test_a_real_analysis_with_one_ion_slipped_is_asked_about(open_data):
    table = pd.read_csv(open_data / "water" / "IonBalance.csv")
    table.loc[4, "Ca"] *= 10
    questions = charge_balance_questions(waters(table))
    assert questions["row"].tolist() == [6]
    assert "do not balance" in questions["question"][0]


def test_lumped_potassium_is_no_imbalance(open_data):
    """USGS smwrData MiscGW (Hem): potassium 0 means counted with sodium."""
    table = pd.read_csv(open_data / "water" / "MiscGW.csv")
    names = [name.lower() for name in table.columns]
    readings = readings_of({"material": ["water"] * 4}, names, table.to_numpy(float))
    assert not len(charge_balance_questions(readings))


def test_an_analysis_in_progress_is_left_alone():
    readings = readings_of({"material": ["water"]}, ["calcium", "chloride"], [[100.0, 1.0]])
    assert not len(charge_balance_questions(readings))


def test_coolant_is_not_asked_to_balance():
    keys = ["calcium", "magnesium", "sodium", "chloride", "sulfate", "total_alkalinity"]
    values = [[2.0, 1.0, 4000.0, 10.0, 20.0, 900.0]]
    coolant = readings_of({"material": ["coolant"]}, keys, values)
    water = readings_of({"material": ["water"]}, keys, values)
    assert not len(charge_balance_questions(coolant))
    assert len(charge_balance_questions(water)) == 1


def test_an_interval_is_given_the_benefit_of_the_doubt():
    keys = ["calcium", "magnesium", "sodium", "chloride", "sulfate", "total_alkalinity"]
    low = [[40.0, 10.0, 20.0, 30.0, 0.0, 60.0]]
    open_sulfate = [[40.0, 10.0, 20.0, 30.0, 100.0, 60.0]]
    assert len(charge_balance_questions(readings_of({"material": ["water"]}, keys, low))) == 1
    wide = readings_of({"material": ["water"]}, keys, low, open_sulfate)
    assert not len(charge_balance_questions(wide))
