"""Worked examples of boiling, suction, scale, acid, depletion and chloride, step by step.

Every expected number is marked `computed here` in the worked examples it is from. Nothing here
calls the formulas that are tested beside it: liquids are poured and warmed in small steps, air
is stacked metre by metre, acid is let in and titrated drop by drop, top-ups are done one by one.
"""

import math

import pytest
from CoolProp.CoolProp import PropsSI
from scipy.optimize import brentq

from tests.remedies.mixing import Vessel

GRAVITY = 9.80665  # m/s2, standard (memory)
# Densities at 20 C [kg/L] and molar masses [g/mol] as the worked examples took them (memory).
GLYCOL_DENSITY, GLYCOL_MASS = 1.113, 62.07
WATER_DENSITY, WATER_MASS = 0.998, 18.015
# Pure ethylene glycol and water at 90 and 95 C [kg/m3] (library: chemicals 1.5.2, CoolProp 8).
HOT_DENSITY = {90.0: (1062.2, 965.4), 95.0: (1058.4, 961.9)}


def steam_pressure(temperature):
    """Vapour pressure of water [kPa] by IAPWS-95 (library: CoolProp 8.0.0)."""
    return PropsSI("P", "T", temperature + 273.15, "Q", 0, "Water") / 1000.0


def glycol_pressure(temperature):
    """Vapour pressure of ethylene glycol [kPa], Antoine's equation (constants from memory)."""
    return 10 ** (8.0908 - 2088.936 / (203.454 + temperature)) * 101.325 / 760.0


def poured(percent):
    """Return the mole fractions of water and glycol of a litre poured millilitre by millilitre."""
    vessel = Vessel(0.0)
    for _ in range(1000):
        glycol = 0.001 * percent / 100.0
        vessel.add(glycol, glycol=1000.0 * GLYCOL_DENSITY / GLYCOL_MASS)
        vessel.add(0.001 - glycol, water=1000.0 * WATER_DENSITY / WATER_MASS)
    moles = vessel.amounts
    return moles["water"] / sum(moles.values()), moles["glycol"] / sum(moles.values())


def vapour(temperature, percent):
    """Return what molecules of both liquids give off together [kPa]."""
    water, glycol = poured(percent)
    return water * steam_pressure(temperature) + glycol * glycol_pressure(temperature)


def air(altitude):
    """Return the pressure below a standard atmosphere [kPa], stacked metre by metre.

    15 C at the sea, 6.5 C colder each kilometre, 28.9644 g/mol (ISO 2533, memory).
    """
    pressure = 101.325
    for metre in range(altitude):
        kelvin = 288.15 - 0.0065 * (metre + 0.5)
        pressure *= math.exp(-GRAVITY * 0.0289644 / (8.31446 * kelvin))
    return pressure


@pytest.mark.parametrize(
    ("percent", "altitude", "cap", "boils"),
    [(50, 0, 0, 107.8), (50, 2500, 0, 99.1), (50, 0, 103, 129.7), (50, 2500, 103, 125.1),
     (0, 2500, 0, 91.6)],
)  # fmt: skip
def test_8_poured_and_heated_until_it_boils(percent, altitude, cap, boils):
    water, glycol = poured(percent)
    outside, temperature = air(altitude) + cap, 85.0
    while water * steam_pressure(temperature) + glycol * glycol_pressure(temperature) < outside:
        temperature += 0.02
    assert temperature == pytest.approx(boils, abs=0.1)


@pytest.mark.parametrize(
    ("percent", "altitude", "cap", "metres"),
    [(50, 0, 103, 12.1), (50, 2500, 103, 9.4), (50, 0, 0, 1.7), (50, 2500, 0, -1.0),
     (0, 0, 0, -0.35)],
)  # fmt: skip
def test_9_pump_lifted_centimetre_by_centimetre_until_it_boils(percent, altitude, cap, metres):
    # Nothing is mixed here but the coolant: the margin is how far the inlet could be lifted.
    pressure, boils_at = air(altitude) + cap, vapour(95.0, percent)
    for _ in range(100):
        pressure -= 0.2  # of 20 kPa lost on the way to the pump
    per_step = mixed_density(95.0, percent) * GRAVITY * 0.005 / 1000.0
    lifted, step = 0.0, 1 if pressure > boils_at else -1
    while (pressure - boils_at) * step > 0.0:
        pressure -= step * per_step
        lifted += step * 0.005
    assert lifted == pytest.approx(metres, abs=0.07)


def mixed_density(temperature, percent):
    """Return the mass of a litre poured of both liquids, warm [kg/m3]."""
    vessel = Vessel(0.0)
    glycol, water = HOT_DENSITY[temperature]
    for _ in range(100):
        vessel.add(percent / 1e4, mass=glycol)
        vessel.add((100.0 - percent) / 1e4, mass=water)
    return vessel.level("mass")


@pytest.mark.parametrize(("cap", "number"), [(103, 1.04), (0, 0.22)])
def test_10_coolant_brought_to_the_speed_of_the_rim(cap, number):
    # Again nothing is mixed: the pressure that bringing a litre to the rim's speed takes.
    rim = sum(math.pi * 0.060 for _ in range(5000)) / 60.0
    assert rim == pytest.approx(15.7, abs=0.05)
    density, steps, taken = mixed_density(90.0, 50), 10_000, 0.0
    for step in range(steps):
        taken += density * (step + 0.5) * rim / steps * rim / steps / 1000.0
    left = air(0) + cap - 20.0 - vapour(90.0, 50)
    assert left / taken == pytest.approx(number, abs=0.011)


def test_11_scale_litre_by_litre_and_layer_by_layer():
    fill = sum(0.300 for _ in range(20))
    top_ups = sum(0.300 for _ in range(26))
    assert (fill, top_ups) == pytest.approx((6.0, 7.8))
    # Each tenth of a gram lies on 500 cm2 of hot metal, and heat has to pass it.
    thickness, warmer = 0.0, {1.0: 0.0, 2.0: 0.0}
    for _ in range(round((fill + top_ups) / 0.1)):
        layer = 0.1e-3 / 2710.0 / 0.0500  # m; calcite 2.71 g/mL (memory)
        thickness += layer
        for conductivity in warmer:
            warmer[conductivity] += 200e3 * layer / conductivity
    assert 1000.0 * thickness == pytest.approx(0.10, abs=0.003)
    assert (warmer[2.0], warmer[1.0]) == pytest.approx((10.0, 20.0), abs=0.5)


def titrated(base, weak, strong=0.0, pka=3.83):
    """Return the millilitres of 0.100 N acid that take 10 mL to pH 5.5, drop by drop.

    Parameters
    ----------
    base, weak, strong : float
        Base, weak acid and strong acid in the sample [meq/L].
    pka : float
        Of the weak acid.
    """
    acid = 0.0

    def surplus(ph):
        hydrogen = 10.0**-ph
        volume = 0.010 + acid / 1000.0
        charge = (base - strong) * 1e-5 - acid * 1e-4
        return (
            charge
            + volume * (hydrogen - 1e-14 / hydrogen)
            - weak * 1e-5 / (1.0 + hydrogen / 10.0**-pka)
        )

    while brentq(surplus, 0.0, 14.0) > 5.5:
        acid += 0.005
    return acid


def test_12_acids_let_in_and_titrated_drop_by_drop():
    # Coolant with 50 meq/L of base; molar masses by standard atomic weights (IUPAC 2021).
    before = titrated(50.0, 0.0)
    glycolic = 1000.0 / (2 * 12.011 + 3 * 1.008 + 3 * 15.999)
    assert glycolic == pytest.approx(13.3, abs=0.05)
    assert before - titrated(50.0, glycolic) == pytest.approx(1.3, abs=0.05)
    sulfuric = 2 * 500.0 / (32.06 + 4 * 15.999)
    assert sulfuric == pytest.approx(10.4, abs=0.05)
    assert before - titrated(50.0, 0.0, sulfuric) == pytest.approx(1.0, abs=0.05)


def test_12_buffer_of_which_a_sixth_is_titrated():
    # 50 meq/L of a carboxylate of pKa 4.8, in 10 mL: 5 mL of 0.100 N would take all of it.
    assert titrated(50.0, 50.0, pka=4.8) / 5.0 == pytest.approx(0.17, abs=0.005)


def test_13_depletion_hour_by_hour():
    # Chemistry takes its share each hour; a leak topped up with water takes the rest.
    chemistry, leak = (1000.0 / 1200.0) ** 0.001, 1.0 - (45.0 / 50.0) ** 0.001
    assert 1.0 - chemistry == pytest.approx(1.82e-4, rel=0.005)
    vessel = Vessel.of(40.0, nitrite=1200.0, glycol=50.0)
    for _ in range(1000):
        vessel.amounts["nitrite"] *= chemistry
        vessel.drain(40.0 * leak)
        vessel.add(40.0 * leak)
    assert vessel.level("glycol") == pytest.approx(45.0)
    assert vessel.level("nitrite") == pytest.approx(900.0)


@pytest.mark.parametrize(("order", "hours"), [("first", 1409), ("zero", 1333)])
def test_13_hours_to_the_limit(order, hours):
    vessel, passed = Vessel.of(40.0, nitrite=1200.0), 0
    while vessel.level("nitrite") > 800.0:
        if order == "first":
            vessel.amounts["nitrite"] *= (900.0 / 1200.0) ** 0.001
        else:
            vessel.amounts["nitrite"] -= 40.0 * 300.0 / 1000.0
        passed += 1
    assert passed == pytest.approx(hours, abs=1)


# Evaporation: the worked example. Leak: each litre lost takes its chloride along, so that the
# two top-ups explain 12.3 mg/L and the first 8 mg/L are thinned; by hand, 85 - 77 (11/12)^2.
@pytest.mark.parametrize(
    ("physics", "explained", "salt", "sea"),
    [("evaporation", 22.17, 0.75, 23.4), ("leak", 20.30, 0.785, 24.6)],
)
def test_14_chloride_top_up_by_top_up(physics, explained, salt, sea):
    def topped_up():
        vessel = Vessel.of(12.0, chloride=8.0)
        for _ in range(2):
            vessel.evaporate(1.0) if physics == "evaporation" else vessel.drain(1.0)
            vessel.add(1.0, chloride=85.0)
        return vessel

    vessel, grams, drops = topped_up(), 0.0, 0
    assert vessel.level("chloride") == pytest.approx(explained, abs=0.01)
    while vessel.level("chloride") < 60.0:
        vessel.amounts["chloride"] += 1.0 * 35.45 / 58.44  # a milligram of salt
        grams += 0.001
    assert grams == pytest.approx(salt, abs=0.005)
    vessel = topped_up()
    while vessel.level("chloride") < 60.0:
        vessel.drain(1e-4)  # the system is full: as much spills as comes in
        vessel.add(1e-4, chloride=19_400.0)
        drops += 1
    assert drops / 10.0 == pytest.approx(sea, abs=0.5)


def test_15_ten_top_ups_one_by_one():
    dries, leaks = (Vessel.of(12.0, chloride=5.0, glycol=50.0) for _ in range(2))
    for _ in range(10):
        dries.evaporate(1.0)
        dries.add(1.0, chloride=85.0)
        leaks.drain(1.0)
        leaks.add(1.0, chloride=85.0)
    assert dries.level("chloride") == pytest.approx(75.8, abs=0.05)
    assert leaks.level("chloride") == pytest.approx(51.5, abs=0.05)
    assert leaks.level("glycol") / 50.0 == pytest.approx(0.42, abs=0.005)
    assert dries.level("glycol") == pytest.approx(50.0)
