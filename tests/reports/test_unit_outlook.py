"""What a unit's page draws of what is ahead."""

import numpy as np
import pytest

from chemcheck.assessment.fleet import fleet
from chemcheck.assessment.forecast import forecast
from chemcheck.intake.read import read_results
from chemcheck.reports import unit_outlook
from chemcheck.reports.unit_outlook import Outlooks
from tests.assessment.test_method_offsets import NITRITE, made


@pytest.fixture
def drawn(monkeypatch):
    """Collect what is drawn in place of drawing it."""
    histories = []
    monkeypatch.setattr(
        unit_outlook, "history_chart", lambda *rest: histories.append(rest[-1]) or rest[0]
    )
    return histories


@pytest.mark.parametrize("named", [True, False])
def test_readings_stand_at_the_level_that_their_curve_is_of(tmp_path, drawn, named):
    frame = made()
    given = frame if named else frame.drop(columns=["Laboratory", "Method"])
    given.to_csv(tmp_path / "fleet.csv", index=False)
    found = forecast(read_results([str(tmp_path / "fleet.csv")]))
    part = Outlooks.of(fleet(found)).page_part("U00")
    assert ("what others read apart is taken off" in part.key) == named
    (nitrite,) = [one for one in drawn if one.quantity.lower() == "nitrite"][:1]
    mine = frame[frame["Unit ID"] == "U00"]
    # South reads 8 % high.
    high = (mine["Laboratory"] == "South").to_numpy()
    assert high.any()
    over = mine[NITRITE].to_numpy() / nitrite.lower
    assert over[~high] == pytest.approx(1.0)
    assert over[high] == pytest.approx(1.08 if named else 1.0, rel=0.02)
    assert np.array_equal(nitrite.lower, nitrite.upper)
