"""The same comparison with the other libraries themselves, run by their own interpreter."""

from pathlib import Path

import numpy as np
import pytest

from chemcheck.planning import fit_lifetime
from tests.planning.published import ANSWERS, INTERVALS, read_answers, read_intervals
from tests.reference.lifetimes import VARIABLE, interpreter, run, simulated, write_intervals

pytestmark = [
    pytest.mark.reference,
    pytest.mark.skipif(
        interpreter() is None,
        reason=f"{VARIABLE} names no interpreter with requirements-lifetimes.txt",
    ),
]


def test_committed_answers_are_what_the_libraries_say(tmp_path: Path) -> None:
    run("fit", INTERVALS, tmp_path / "answers.csv")
    committed, found = read_answers(ANSWERS), read_answers(tmp_path / "answers.csv")
    assert [answer[:4] + answer[5:] for answer in found] == [
        answer[:4] + answer[5:] for answer in committed
    ]
    values = np.array([answer.value for answer in found])
    assert values == pytest.approx(np.array([answer.value for answer in committed]), rel=2e-5)


def test_committed_lifetimes_are_those_shipped_and_simulated(tmp_path: Path) -> None:
    run("data", tmp_path / "shipped.csv")
    committed = read_intervals()
    for name, rows in (read_intervals(tmp_path / "shipped.csv") | simulated()).items():
        assert committed[name] == pytest.approx(rows)


def test_new_lifetimes_agree_to_four_digits(tmp_path: Path) -> None:
    """Intervals of another seed, 1,000 of them, 500 h wide."""
    rng = np.random.default_rng(2031)
    times = 6000.0 * rng.weibull(2.2, 1000)
    before = 500.0 * np.floor(times / 500.0)
    seen = before < 9000.0
    lower, upper = np.minimum(before, 9000.0), np.where(seen, before + 500.0, np.inf)
    sets = {"new": np.array([lower, upper, np.ones(1000)])}
    write_intervals(tmp_path / "intervals.csv", sets)
    run("fit", tmp_path / "intervals.csv", tmp_path / "answers.csv")
    compared = 0
    for answer in read_answers(tmp_path / "answers.csv"):
        # lifelines 0.30.3 stays at its start, a mean of 1, for exponential lifetimes of thousands.
        if answer.subject == "fit" and answer.family != "exponential":
            compared += 1
            life = fit_lifetime(lower, upper, family=answer.family)
            assert getattr(life, answer.quantity) == pytest.approx(answer.value, rel=5e-5)
    assert compared == 8
