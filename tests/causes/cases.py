"""One invented sample a pattern, moved as the field's pattern tables say, and its reference.

The sizes are those of the texts named (orders of magnitude, mostly memory); the starting fills
are invented.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from chemcheck.causes import Causes, find_causes
from chemcheck.readings.record import Readings
from tests.builders import readings

HEAVY_DUTY: Mapping[str, float] = {
    "ph": 9.8, "reserve_alkalinity": 7.0, "glycol": 50.0, "freezing_point": -36.8,
    "nitrite": 1600.0, "nitrate": 600.0, "molybdenum": 120.0, "silicon": 90.0,
    "phosphate": 900.0, "boron": 420.0, "carboxylates": 20.0, "azoles": 500.0, "chloride": 8.0,
    "sulfate": 18.0, "fluoride": 1.0, "glycolate": 20.0, "lactate": 5.0, "formate": 5.0,
    "oxalate": 2.0, "sodium": 3300.0, "potassium": 420.0, "calcium": 2.0, "magnesium": 0.5,
    "total_hardness": 7.0, "iron": 1.0, "copper": 0.4, "aluminium": 0.5, "lead": 0.5, "tin": 0.5,
    "zinc": 0.5, "ammonium": 0.5,
}  # fmt: skip
ORGANIC: Mapping[str, float] = {
    **HEAVY_DUTY, "ph": 8.4, "reserve_alkalinity": 3.5, "nitrite": 1.0, "molybdenum": 1.0,
    "silicon": 3.0, "phosphate": 2.0, "boron": 2.0, "carboxylates": 14000.0, "sodium": 1500.0,
    "potassium": 1800.0, "nitrate": 20.0,
}  # fmt: skip


@dataclass(frozen=True)
class Case:
    """A cause, what it did to a fill, and who says so."""

    cause: str
    moves: Mapping[str, float]
    source: str
    fill: Mapping[str, float] = None  # type: ignore[assignment]  # heavy duty unless told
    technology: str = "heavy_duty_additive"
    glycol: str = "ethylene_glycol"
    within: int = 1


def _times(fill: Mapping[str, float], factor: float, *keys: str) -> dict[str, float]:
    return {key: fill[key] * factor for key in keys}


_INERT = ("glycol", "molybdenum", "boron", "potassium", "sodium", "nitrite", "nitrate", "silicon",
          "phosphate", "azoles", "reserve_alkalinity")  # fmt: skip

CASES = (
    Case("dilution_with_water", {**_times(HEAVY_DUTY, 0.75, *_INERT), "freezing_point": -22.5},
         "algebra of mixing: every inhibitor and glycol down by one factor"),
    Case("evaporation", {**_times(HEAVY_DUTY, 1.15, *_INERT), "freezing_point": -48.0},
         "algebra of mixing: glycol and all conservative species up by one factor"),
    Case("hard_water_top_up",
         {"calcium": 52.0, "magnesium": 13.0, "total_hardness": 185.0, "chloride": 48.0,
          "sulfate": 60.0, "phosphate": 500.0, "silicon": 50.0},
         "ASTM STP 1192 abstract: phosphate and silicate are lost to calcium and magnesium"),
    Case("combustion_gas_leak",
         {"ph": 6.7, "sulfate": 190.0, "reserve_alkalinity": 3.0, "nitrite": 900.0,
          "nitrate": 1100.0},
         "trade press: pH below 7 and sulfate up, nitrite to nitrate; sizes memory"),
    Case("sulfate_from_fuel_or_blow_by", {"sulfate": 220.0}, "memory: sulfate 50 to several 100"),
    Case("air_ingress",
         {"ph": 8.6, "nitrite": 1050.0, "nitrate": 950.0, "iron": 18.0, "lead": 14.0, "foam": 2.0},
         "trade press: pH falls, usually not below 7.5, nitrate up, foam"),
    Case("ethylene_glycol_oxidation",
         {"glycolate": 1300.0, "formate": 220.0, "oxalate": 40.0, "ph": 8.6,
          "reserve_alkalinity": 4.8},
         "ion-chromatography study of heated glycol; levels memory"),
    Case("propylene_glycol_oxidation",
         {"lactate": 1100.0, "ph": 8.5, "reserve_alkalinity": 5.0},
         "ion-chromatography study: propylene glycol makes lactate", glycol="propylene_glycol"),
    Case("under_treated", {"nitrite": 480.0, "molybdenum": 40.0}, "memory: floor of 800 mg/L"),
    Case("over_treated_additive",
         {"nitrite": 3900.0, "molybdenum": 330.0, "boron": 900.0, "phosphate": 2000.0,
          "silicon": 200.0, "sodium": 6000.0},
         "US TM 5-3895-383-24: over-dosing; memory: twice the fresh fill and more"),
    Case("mixed_technologies",
         {"silicon": 45.0, "nitrite": 500.0, "boron": 140.0, "phosphate": 300.0,
          "carboxylates": 9300.0},
         "memory: the fingerprint lies between two fresh fills", ORGANIC, "organic_acid"),
    Case("silicate_drop_out", {"silicon": 12.0, "gel": 1.0},
         "formulators' page: silicon falls fast"),
    Case("brazing_flux_residue",
         {"fluoride": 70.0, "potassium": 800.0, "aluminium": 25.0, "nitrite": 400.0,
          "nitrate": 300.0, "molybdenum": 60.0, "silicon": 30.0, "ph": 10.5, "ammonium": 30.0},
         "ASTM STP 1556 abstract: flux; sizes memory"),
    Case("nitrite_aluminium_reaction",
         {"nitrite": 700.0, "ammonium": 90.0, "ph": 10.4, "aluminium": 18.0},
         "trade press: nitrite down, ammonium and pH up"),
    Case("solder_attack", {"lead": 45.0, "tin": 12.0, "nitrite": 3000.0},
         "trade pages: lead in tens of mg/L"),
    Case("aluminium_corrosion_high_ph",
         {"aluminium": 24.0, "ph": 10.6, "silicon": 40.0},
         "US TB 55-1900-207-24: above 9.5; aluminium above 5 to 10 memory"),
    Case("acid_attack",
         {"ph": 6.2, "iron": 60.0, "aluminium": 25.0, "copper": 15.0, "reserve_alkalinity": 0.5},
         "US TB 55-1900-207-24: pH below 6.5"),
    Case("copper_plating", {"copper": 14.0, "aluminium": 12.0, "azoles": 200.0},
         "water handbook; copper above 5 to 10 memory"),
    Case("road_salt", {"chloride": 160.0, "sodium": 3400.0 },
         "memory: chloride up by 50 and more"),
    Case("sea_water",
         {"chloride": 700.0, "sodium": 1885.0, "sulfate": 115.0, "magnesium": 47.0,
          "calcium": 16.0, "total_hardness": 235.0},
         "standard sea water: Na:Cl 0.56, SO4:Cl 0.14, Mg above Ca", ORGANIC, "organic_acid"),
    Case("stray_current",
         {"nitrite": 250.0, "nitrate": 1800.0, "coolant_voltage": 0.5},
         "trade press: nitrite falls very fast and nitrate rises"),
    Case("wrong_glycol_or_scale", {"glycol": 38.0}, "ASTM D3321: the wrong scale, 18 F and more"),
    Case("too_much_glycol", {"glycol": 67.0, "freezing_point": None},  # type: ignore[dict-item]
         "a maker's manual: not above 60 %", within=2),
    Case("lube_oil", {"oil": 3.0, "appearance": 3.0}, "US TM 5-3895-346-14"),
    Case("lube_oil", {"turned_brown": 1.0, "appearance": 3.0}, "memory: brown emulsion"),
    Case("fuel_in_coolant", {"fuel_smell": 1.0, "foam": 2.0, "oil": 3.0}, "memory"),
    Case("transmission_fluid", {"pink_emulsion": 1.0, "oil": 4.0}, "memory"),
    Case("liner_pitting_risk", {"iron": 50.0, "nitrite": 350.0, "liner_pits": 1.0},
         "memory: low nitrite, iron up"),
    Case("pump_cavitation", {"vane_pits": 1.0, "aluminium": 8.0, "iron": 12.0},
         "trade press and Plesset 1972: pits, little chemistry"),
    Case("residual_acid_cleaner",
         {"ph": 7.9, "chloride": 140.0, "iron": 45.0, "blackened_aluminium": 1.0},
         "a shop's technical page: black aluminium; pH lower by 1 and more"),
    Case("residual_alkaline_cleaner",
         {"ph": 11.1, "sodium": 4300.0, "phosphate": 1300.0, "silicon": 160.0, "foam": 2.0},
         "memory"),
    Case("stop_leak_residue", {"fibres_or_flakes": 1.0, "silicon": 190.0, "copper": 9.0},
         "common practice"),
    Case("microbial_growth",
         {**_times(HEAVY_DUTY, 0.4, *_INERT), "freezing_point": -8.2, "nitrite": 150.0, "ph": 8.2,
          "slime": 1.0, "rotten_smell": 1.0},
         "water guides: glycol below 20 to 25 %"),
    Case("unlogged_coolant_change",
         {"iron": 0.5, "chloride": 4.0, "glycolate": 10.0, "nitrite": 1700.0, "silicon": 95.0,
          "reserve_alkalinity": 7.4},
         "common practice: contaminants near 0 and inhibitors as fresh",
         {**HEAVY_DUTY, "iron": 22.0, "chloride": 60.0, "glycolate": 700.0, "nitrite": 900.0,
          "silicon": 45.0, "reserve_alkalinity": 4.5}),
    Case("chromate_in_glycol", {"chromium": 40.0, "slime": 1.0}, "US TM 5-3895-346-14"),
    Case("dirty_system", {"rust_mud_in_pump": 1.0, "rust_weep_trail": 1.0, "iron": 40.0},
         "trade press: tips on pumps"),
    Case("shaft_overload", {"clean_shaft_break": 1.0}, "trade press: tips on pumps"),
    Case("bearing_heat", {"blue_shaft": 1.0}, "trade press: tips on pumps"),
    Case("erosion_corrosion", {"casing_thinning": 1.0, "aluminium": 9.0}, "common practice"),
    Case("dry_run", {"heat_checked_seal": 1.0}, "common practice"),
)  # fmt: skip


def readings_of(case: Case, *, without: tuple[str, ...] = (), **more: float) -> Readings:
    """Return the fill when new, and the sample in which it has moved."""
    fill = dict(case.fill or HEAVY_DUTY)
    moved = {**fill, **case.moves, **more}
    columns = {
        key: [fill.get(key), moved.get(key)]
        for key in (*fill, *(key for key in moved if key not in fill))
        if key not in without
    }
    return readings(
        columns,
        unit_id=["A", "A"],
        taken_on=["2031-01-10", "2031-09-10"],
        technology=[case.technology] * 2,
        glycol_type=[case.glycol] * 2,
    )


def causes_of(case: Case, *, without: tuple[str, ...] = (), **more: float) -> Causes:
    """Return the causes of a case's two samples."""
    found = find_causes(readings_of(case, without=without, **more))
    assert found is not None
    return found
