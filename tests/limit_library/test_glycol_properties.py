"""The property tables that ship, against other sources, and files that are wrong."""

import csv
from dataclasses import replace
from pathlib import Path

import CoolProp.CoolProp as coolprop
import numpy as np
import pytest

from chemcheck.chemistry.glycol_density import density
from chemcheck.chemistry.glycol_freezing import freezing_point
from chemcheck.chemistry.glycol_percent import mass_percent, volume_percent
from chemcheck.chemistry.glycol_tables import read_table
from chemcheck.errors import LimitFileError, UnitError
from chemcheck.limit_library import limit_folder
from chemcheck.limit_library.assumed_values import cooling_circuit, refraction
from chemcheck.limit_library.glycol_properties import (
    GLYCOL_FILES,
    find_glycol,
    glycol_properties,
    read_glycol_properties,
)
from chemcheck.limit_library.records import EVIDENCE

PUBLISHED = Path(__file__).parent.parent / "published" / "glycol_freezing.csv"
ROWS = list(csv.DictReader(PUBLISHED.read_text("utf-8").splitlines()))
FLUIDS = [  # library: CoolProp 8.0.0
    ("ethylene_glycol", "inhibited", "AEG"),
    ("propylene_glycol", "inhibited", "APG"),
    ("ethylene_glycol", "pure", "MEG"),
    ("propylene_glycol", "pure", "MPG"),
]


def first(key, quantity, basis):
    return glycol_properties(key).of(quantity, basis)[0]


def library(fluid, percent, what, celsius=20.0):
    name = f"INCOMP::{fluid}[{percent / 100}]"
    return coolprop.PropsSI(what, "T", celsius + 273.15, "P", 2e5, name)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: "-".join(list(row.values())[:4]))
def test_freezing_point_at_points_that_the_table_does_not_hold(row):
    glycol = glycol_properties(row["glycol"])
    percent = float(row["percent"])
    if row["by"] == "mass":
        percent = float(volume_percent(percent, glycol.pure))
    value, uncertain = freezing_point(first(row["glycol"], "freezing_point", row["basis"]), percent)
    assert not uncertain
    assert value == pytest.approx(float(row["freezing_point"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize(("key", "basis", "fluid"), FLUIDS)
def test_freezing_point_between_the_points_against_the_library(key, basis, fluid):
    table = first(key, "freezing_point", basis)
    given = np.arange(10.0, 60.0, 0.5)
    by_volume = (
        given if basis == "inhibited" else volume_percent(given, glycol_properties(key).pure)
    )
    expected = [library(fluid, one, "T_FREEZE") - 273.15 for one in given]
    assert np.abs(read_table(table, by_volume) - expected).max() < 0.05


@pytest.mark.parametrize(("key", "basis", "fluid"), FLUIDS)
def test_a_point_left_out_of_the_table_is_found_again(key, basis, fluid):
    # library: CoolProp 8.0.0. Each point in turn is left out of the table, and the curve through
    # the others is held against the library there, up to the last point.
    table = first(key, "freezing_point", basis)
    assert table.percent.size >= 12
    glycol = glycol_properties(key)
    for skipped in range(1, table.percent.size - 1):
        rest = np.delete(np.arange(table.percent.size), skipped)
        held_out = replace(table, percent=table.percent[rest], values=table.values[rest])
        at = table.percent[skipped]
        given = at if basis == "inhibited" else float(mass_percent(at, glycol.pure))
        expected = library(fluid, given, "T_FREEZE") - 273.15
        assert float(read_table(held_out, at)) == pytest.approx(expected, abs=0.3)


def test_how_far_the_bases_lie_apart():
    # library: CoolProp 8.0.0: 50 vol% of ethylene glycol freezes at -37.1 C by the inhibited
    # fluid and at -39.8 C by the pure one (52.73 mass%); propylene glycol -33.7 and -33.6.
    apart = {}
    for key in GLYCOL_FILES:
        inhibited, pure = (
            float(read_table(first(key, "freezing_point", basis), 50.0))
            for basis in ("inhibited", "pure")
        )
        apart[key] = pure - inhibited
    assert apart["ethylene_glycol"] == pytest.approx(-2.73, abs=0.05)
    assert apart["propylene_glycol"] == pytest.approx(0.10, abs=0.05)


@pytest.mark.parametrize(("key", "basis", "fluid"), FLUIDS)
def test_density_between_the_points_against_the_library(key, basis, fluid):
    table = first(key, "density", basis)
    given, celsius = np.meshgrid(np.arange(12.0, 60.0, 4.0), np.arange(5.0, 100.0, 7.0))
    by_volume = (
        given if basis == "inhibited" else volume_percent(given, glycol_properties(key).pure)
    )
    expected = np.vectorize(lambda x, t: library(fluid, x, "D", t))(given, celsius)
    assert np.abs(density(table, by_volume, celsius) - expected).max() < 0.5


def test_density_of_ethylene_glycol_against_a_printed_table():
    # ASHRAE table quoted in a manual, 70 F, lb/ft3 times 16.0185 (published).
    printed = [1014.1, 1030.5, 1046.0, 1060.4, 1074.0, 1087.0]
    table = first("ethylene_glycol", "density", "inhibited")
    found = density(table, np.arange(10.0, 61.0, 10.0), (70 - 32) / 1.8)
    assert np.abs(found - printed).max() < 1.5


def test_density_of_propylene_glycol_against_a_handbook():
    # Lange's Handbook table 5.13: relative density at 15.6 C (published); water 999.05 kg/m3.
    printed = 999.05 * np.array([1.006, 1.017, 1.024, 1.032, 1.040])
    table = first("propylene_glycol", "density", "pure")
    found = density(table, [10.0, 20.0, 30.0, 40.0, 50.0], 15.6)
    # The sources lie up to 4 kg/m3 apart: a hydrometer cannot tell propylene glycol finely.
    assert np.abs(found - printed).max() < 4.5


@pytest.mark.parametrize(
    ("key", "brix"),
    # Computed pairs of index and Brix for both glycols, 10 to 60 vol% (memory).
    [
        ("ethylene_glycol", [7.1, 14.1, 20.8, 27.2, 33.0, 38.2]),
        ("propylene_glycol", [7.7, 15.2, 22.5, 29.4, 35.5, 40.7]),
    ],
)
def test_brix_scale_and_index_tables_agree(key, brix):
    scale, _ = refraction()
    index = read_table(first(key, "refractive_index", "pure"), np.arange(10.0, 61.0, 10.0))
    assert np.interp(index, scale.index, scale.brix) == pytest.approx(brix, abs=0.2)


def test_index_follows_the_lorentz_lorenz_rule():
    # Pure glycol 1.4318, water 1.3330 at 20 C; density of the mixture from CoolProp MEG.
    def refraction_of(index):
        return (index**2 - 1) / (index**2 + 2)

    table = first("ethylene_glycol", "refractive_index", "pure")
    for percent in (20.0, 40.0, 60.0):
        share = 1.11339 * percent / (1.11339 * percent + 0.99821 * (100 - percent))
        if share > 0.6:
            continue
        rho = library("MEG", 100 * share, "D") / 1000
        molar = (
            share * refraction_of(1.4318) / 1.11339 + (1 - share) * refraction_of(1.333) / 0.99821
        )
        mixed = rho * molar
        index = np.sqrt((1 + 2 * mixed) / (1 - mixed))
        assert read_table(table, percent) == pytest.approx(index, abs=0.0015)


@pytest.mark.parametrize("key", GLYCOL_FILES)
def test_every_table_has_basis_source_and_evidence(key):
    for table in glycol_properties(key).tables:
        assert table.basis in ("inhibited", "pure")
        assert len(table.source) > 10
        assert table.evidence in EVIDENCE
        assert table.source.startswith("memory") is (table.evidence == "memory")


def test_assumed_values_say_where_they_are_from():
    for one in (*cooling_circuit().values(), *refraction()[1].values()):
        assert one.lower <= one.upper
        assert one.evidence in EVIDENCE
        if one.evidence == "common practice":
            assert one.source.startswith("common practice, no source")


def test_names_of_the_trade():
    assert find_glycol("mono-ethylene glycol") == "ethylene_glycol"
    assert find_glycol("MPG") == "propylene_glycol"
    assert find_glycol("ethane-1,2-diol") == "ethylene_glycol"
    assert find_glycol("glycerine") is None
    with pytest.raises(UnitError, match="no glycol known here; nearest: ethylene_glycol"):
        glycol_properties("ethylen_glycol")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("quantity: boiling_rise", "quantity: boiling_ris", "nearest: boiling_rise"),
        ("basis: inhibited", "basis: pur", "nearest: pure"),
        ("percent_by: mass", "percent_by: weight", "way to count"),
        ("percent: [78.9, 89.7, 95.0]", "percent: [89.7, 78.9, 95.0]", "greater than the last"),
        ("values: [-46.8, -29.8, -19.4]", "values: [-46.8]", "expected 3 numbers, found 1"),
        ("unit: kg/m3", "unit: kg/L", "expected 'kg/m3'"),
        ("vapour_pressure: [84.09, ", "vapour_pressure: [", "expected 5 numbers, found 4"),
        ("temperatures: [0, ", "temperatures: [-5, 0, ", "expected 12 numbers, found 11"),
        ("unit: mass%", "unit: mass%\n    temperatures: [0, 5]", "belongs to a density"),
        ("evidence: library\ntables", "evidence: sure\ntables", "'sure' is no evidence"),
    ],
)
def test_a_wrong_file_says_where(old, new, said, tmp_path):
    good = (limit_folder() / "properties" / "ethylene_glycol.yaml").read_text("utf-8")
    assert old in good
    path = tmp_path / "own.yaml"
    path.write_text(good.replace(old, new, 1), "utf-8")
    with pytest.raises(LimitFileError) as caught:
        read_glycol_properties(path)
    assert str(path) in str(caught.value)
    assert said in str(caught.value)
