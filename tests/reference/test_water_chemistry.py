"""The same comparison with PHREEQC itself, run in the reference environment."""

from importlib.metadata import version

import numpy as np
import pytest

from chemcheck.chemistry.carbonate import blend, equilibrate, open_to_air, speciate_totals
from chemcheck.chemistry.waters import Totals
from tests.chemistry.conftest import ComparedWaters
from tests.chemistry.conftest import compared as compared  # the fixture
from tests.chemistry.deviation import worst_shares
from tests.reference import phreeqc, pitzer_differences

pytestmark = pytest.mark.reference

phreeqpython = pytest.importorskip(
    "phreeqpython",
    reason="phreeqpython is not installed: run in an environment with the extra 'reference'",
)


def inputs(compared: ComparedWaters) -> np.ndarray:
    """Return the inputs as the reference takes them [mmol/kg, meq/kg]."""
    amounts = [getattr(compared.totals, name) * 1e3 for name in phreeqc.AMOUNTS]
    return np.column_stack([compared.ph, compared.totals.alkalinity * 1e3, *amounts])


def totals_of(waters: np.ndarray) -> Totals:
    """Return generated waters as totals."""
    amounts = dict(zip(phreeqc.AMOUNTS, waters[:, 2:].T * 1e-3, strict=True))
    return Totals(
        **amounts,
        alkalinity=waters[:, 1] * 1e-3,
        carbonate=np.full(len(waters), np.nan),
        silica=np.zeros(len(waters)),
    )


def test_committed_answers_are_what_the_library_says(compared: ComparedWaters) -> None:
    """Version, checksum of the database, and every number of the CSV."""
    assert version("phreeqpython") == phreeqc.VERSION
    found = phreeqc.answers(phreeqc.engine(), inputs(compared))
    for place, temperature in enumerate(phreeqc.TEMPERATURES):
        for column, figure in enumerate(phreeqc.FIGURES):
            expected = compared.answers[temperature][figure]
            assert found[:, place, column] == pytest.approx(expected, abs=2e-6, rel=1e-6)


def test_waters_are_what_the_generator_makes(compared: ComparedWaters) -> None:
    kinds, waters = phreeqc.generate()
    assert kinds == compared.kinds
    assert inputs(compared) == pytest.approx(waters)


@pytest.mark.parametrize("seed", [77, 78, 79])
def test_new_waters_are_within_tolerance(monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    """Waters of other seeds, never seen when the code was written."""
    monkeypatch.setattr(phreeqc, "SEED", seed)
    _, waters = phreeqc.generate()
    found = phreeqc.answers(phreeqc.engine(), waters)
    answers = {
        temperature: dict(zip(phreeqc.FIGURES, found[:, place].T, strict=True))
        for place, temperature in enumerate(phreeqc.TEMPERATURES)
    }
    worst = worst_shares(totals_of(waters), waters[:, 0], answers)
    assert {figure: share for figure, share in worst.items() if share > 1.0} == {}


@pytest.mark.parametrize("temperature", [25.0, 60.0])
def test_open_to_air(temperature: float) -> None:
    """Equilibrium with 4.2e-4 atm of carbon dioxide: pH within 0.005."""
    _, waters = phreeqc.generate()
    engine = phreeqc.engine()
    aired = open_to_air(totals_of(waters), temperature, 4.2e-4)
    expected = np.empty(len(waters))
    for place, water in enumerate(waters):
        solution = phreeqc.solution(engine, water)
        solution.change_temperature(temperature)
        solution.equalize(["CO2(g)"], [float(np.log10(4.2e-4))], [10.0])
        expected[place] = solution.pH
        solution.forget()
    assert aired.ph == pytest.approx(expected, abs=0.005)


def test_blends() -> None:
    """Every water half and half with the first, closed: pH within 0.005."""
    _, waters = phreeqc.generate()
    engine = phreeqc.engine()
    totals = [speciate_totals(totals_of(w[None]), w[:1]).totals for w in waters]
    for water, total in zip(waters[1:], totals[1:], strict=True):
        mixed = phreeqc.solution(engine, waters[0]) * 0.5 + phreeqc.solution(engine, water) * 0.5
        blended = equilibrate(blend([totals[0], total], [0.5, 0.5]))
        assert blended.ph[0] == pytest.approx(mixed.pH, abs=0.005)


def test_differences_from_the_pitzer_database_are_reported() -> None:
    """Pitzer's model on the same engine: reported, not gated; it must answer at all."""
    kinds, off = pitzer_differences.differences()
    assert np.isfinite(off).all()
    lines = list(pitzer_differences.report(kinds, off))
    assert len(lines) == 1 + len(phreeqc.KINDS) * len(phreeqc.TEMPERATURES)
