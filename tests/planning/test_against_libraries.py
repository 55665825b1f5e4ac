"""Fits, survival without a family and replacement ages against other libraries' answers.

The answers were written by tests/reference/make_lifetime_answers.py.
"""

import numpy as np
import pytest

from chemcheck.planning import Lifetime, best_interval, fit_lifetime, turnbull
from tests.planning.published import Answer, read_answers, read_intervals

# Where lifelines 0.30.3 stops below the summit of the likelihood; surpyval 0.25 reaches it.
BELOW_SUMMIT = {("lag phase, Montville 1983", "weibull", "lifelines")}
DATA = read_intervals()
ANSWERS = read_answers()
FITS = [
    answer
    for answer in ANSWERS
    if answer.subject == "fit" and (answer.case, answer.family, answer.library) not in BELOW_SUMMIT
]


def name(answer: Answer) -> str:
    return "-".join((answer.library, answer.case.partition(",")[0], answer.family, answer.quantity))


@pytest.mark.parametrize("answer", FITS, ids=name)
def test_fits_agree_to_four_digits(answer: Answer) -> None:
    life = fit_lifetime(*DATA[answer.case], family=answer.family)
    assert getattr(life, answer.quantity) == pytest.approx(answer.value, rel=5e-5)


def test_the_summit_is_never_below_another_library() -> None:
    compared = 0
    for answer in ANSWERS:
        if answer.quantity == "log_likelihood":
            compared += 1
            life = fit_lifetime(*DATA[answer.case], family=answer.family)
            assert life.log_likelihood >= answer.value - 1e-5
    assert compared == 18


def test_survival_without_a_family_agrees() -> None:
    cases = {answer.case for answer in ANSWERS if answer.subject == "turnbull"}
    assert len(cases) == 5
    estimates = {case: turnbull(*DATA[case]) for case in cases}
    for answer in ANSWERS:
        if answer.subject == "turnbull":
            time = float(answer.quantity.removeprefix("survival "))
            least, greatest = estimates[answer.case].survival(time)
            assert least == pytest.approx(answer.value, abs=2e-5)
            assert greatest == pytest.approx(answer.value, abs=2e-5)


@pytest.mark.parametrize(
    "answer", [answer for answer in ANSWERS if answer.subject == "age replacement"], ids=name
)
def test_replacement_ages_agree(answer: Answer) -> None:
    planned, failure, scale, shape = map(float, answer.case.split())
    best = best_interval(Lifetime.stated("weibull", scale, shape), planned, failure)
    # The library looks at a grid of 10,000 ages; the cost is flat around the best.
    tolerance = 5e-4 if answer.quantity == "interval" else 1e-6
    assert getattr(best, answer.quantity) == pytest.approx(answer.value, rel=tolerance)


def test_ball_bearings_as_in_the_textbooks() -> None:
    # Scale 81.9, shape 2.10; log-normal log-median 4.15, sigma 0.522: textbooks on lifetime data
    # quote these fits of Lieblein and Zelen's bearings; memory.
    data = DATA["ball bearings, Lieblein and Zelen 1956"]
    weibull, normal = fit_lifetime(*data), fit_lifetime(*data, family="lognormal")
    assert weibull.scale == pytest.approx(81.9, abs=0.05)
    assert weibull.shape == pytest.approx(2.10, abs=0.005)
    assert np.log(normal.scale) == pytest.approx(4.15, abs=0.005)
    assert normal.shape == pytest.approx(0.522, abs=0.0005)
