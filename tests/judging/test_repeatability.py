"""A laboratory's own repeatability against published examples and known truth."""

import numpy as np
import pytest

from chemcheck.judging.characteristic_function import pooled_scatter
from chemcheck.judging.repeatability import (
    about_repeatability,
    duplicate_questions,
    own_repeatability,
)
from chemcheck.judging.replicates import find_replicates
from tests.readings.build import coded, readings_of, samples_of

# Pooled standard deviation of blood glucose, four months, 24 results, 20 degrees of freedom:
# 18.58 mg/L, printed as 19. Skoog, West, Holler and Crouch, Fundamentals of Analytical
# Chemistry, example on pooling (memory). The sums of squares remembered with it, 1687.43,
# 1182.80, 1086.80 and 2950.86, agree with these results, so that they are remembered rightly.
GLUCOSE = (
    (1108, 1122, 1075, 1099, 1115, 1083, 1100),
    (992, 975, 1022, 1001, 991),
    (788, 805, 779, 822, 800),
    (799, 745, 750, 774, 777, 800, 758),
)
# Duplicate analyses of pesticides in bread, mg/kg: Eurachem/CITAC Guide CG 4, example A4, table
# A4.2 (memory). Its standard deviation of the differences over their means, 0.382, and the
# relative standard uncertainty 0.382/sqrt(2) = 0.27, agree with these results.
BREAD = (
    (1.30, 1.30), (1.30, 0.90), (0.57, 0.53), (0.16, 0.26), (0.65, 0.58), (0.04, 0.04),
    (0.08, 0.09), (0.02, 0.02), (0.01, 0.02), (0.02, 0.01), (0.03, 0.02), (0.04, 0.06),
    (0.07, 0.08), (0.01, 0.01), (0.06, 0.03),
)  # fmt: skip


def groups(values):
    mean = [np.mean(v) for v in values]
    return mean, [np.var(v, ddof=1) for v in values], [len(v) - 1 for v in values]


def test_pooled_glucose_of_a_textbook():
    mean, variance, degrees = groups(GLUCOSE)
    squares = np.array(variance) * degrees
    assert squares == pytest.approx([1687.43, 1182.80, 1086.80, 2950.86], abs=0.006)
    scatter = pooled_scatter(mean, variance, degrees, gain_of_both=np.inf)
    assert scatter.degrees == 20
    assert scatter.absolute == pytest.approx(18.58, abs=0.006)


def test_duplicates_of_the_eurachem_guide():
    pairs = np.array(BREAD)
    relative = (pairs[:, 0] - pairs[:, 1]) / pairs.mean(axis=1)
    assert relative.std(ddof=1) == pytest.approx(0.382, abs=0.0005)
    scatter = pooled_scatter(*groups(BREAD))
    # The guide takes the differences about their mean, 0.043, a pooled figure about zero, as
    # neither result comes first: 3 % apart.
    assert scatter.absolute == 0
    about_mean = np.sqrt((2 * scatter.relative**2 * 15 - 15 * relative.mean() ** 2) / 14 / 2)
    assert about_mean == pytest.approx(0.27, abs=0.0005)
    assert scatter.relative == pytest.approx(0.27, rel=0.035)


@pytest.mark.parametrize(
    ("absolute", "relative"), [(0.5, 0.0), (0.0, 0.05), (0.5, 0.05)], ids=["flat", "steep", "both"]
)
def test_known_scatter_is_recovered(absolute, relative):
    random = np.random.default_rng(3)
    level = 10 ** random.uniform(-0.5, 3, 4000)
    pair = level[:, None] + np.hypot(absolute, relative * level)[:, None] * random.standard_normal(
        (4000, 2)
    )
    keep = pair.mean(axis=1) > 0
    scatter = pooled_scatter(*groups(pair[keep]))
    for at in (1.0, 30.0, 900.0):
        assert scatter.at(at) == pytest.approx(np.hypot(absolute, relative * at), rel=0.06)
    assert (scatter.absolute == 0) == (absolute == 0)
    assert (scatter.relative == 0) == (relative == 0)


def test_equal_pairs_say_nothing():
    assert pooled_scatter([5.0, 7.0], [0.0, 0.0], [1, 1]) is None


def duplicates(n=24, scatter=0.02, seed=1, **changes):
    """n samples of n units, each with its duplicate behind it."""
    random = np.random.default_rng(seed)
    level = np.repeat(random.uniform(50, 500, n), 2)
    values = level * (1 + scatter * random.standard_normal(2 * n))
    samples = {
        "sample_id": np.repeat([f"S{k}" for k in range(n)], 2),
        "sample_type": ["routine", "duplicate"] * n,
    }
    upper = values.copy()
    lower = values.copy()
    for place, (low, high) in changes.pop("intervals", {}).items():
        lower[place], upper[place] = low, high
    return readings_of(
        samples | changes, ["chloride"], lower[:, None], upper[:, None],
        laboratory=coded(["Alpha"], np.zeros(2 * n), 1),
    )  # fmt: skip


def test_twenty_pairs_replace_the_librarys_figure():
    readings = duplicates()
    [found] = own_repeatability(readings)
    assert (found.pairs, found.left_out, found.enough) == (24, 0, True)
    assert found.scatter.relative == pytest.approx(0.02, rel=0.35)
    [line] = about_repeatability(readings, (found,))
    assert "laboratory Alpha repeats itself within" in line
    assert "24 pairs" in line


def test_nineteen_pairs_do_not():
    readings = duplicates(19)
    [found] = own_repeatability(readings)
    assert (found.pairs, found.enough) == (19, False)
    [line] = about_repeatability(readings, (found,))
    assert line.endswith("(20 pairs are needed): chloride 19")


def test_intervals_are_counted_and_left_out():
    readings = duplicates(intervals={0: (0.0, 0.5), 7: (100.0, np.inf)})
    [found] = own_repeatability(readings)
    assert (found.pairs, found.left_out) == (22, 2)
    assert (
        "2 results that are no exact numbers left out" in about_repeatability(readings, (found,))[0]
    )


def test_laboratories_and_methods_stand_apart():
    readings = duplicates(4)
    other = readings_of(
        readings.samples.to_dict("list"), ["chloride"], readings.lower,
        laboratory=coded(["Alpha", "Beta"], [0, 0, 0, 0, 1, 1, 1, 1], 1),
        method=coded(["x"], [0, 0, -1, -1, 0, 0, 0, 0], 1),
    )  # fmt: skip
    found = {(f.laboratory, f.method): f.pairs for f in own_repeatability(other)}
    assert found == {(0, 0): 1, (0, -1): 1, (1, 0): 2}


def test_ph_is_never_taken_in_proportion():
    readings = duplicates(30, 0.001)
    ph = readings_of(readings.samples.to_dict("list"), ["ph"], readings.lower / 50)
    [found] = own_repeatability(ph)
    assert found.scatter.relative == 0


def test_a_swapped_bottle_is_asked_about():
    readings = duplicates(40, seed=4)
    readings.lower[11, 0] *= 1.25
    readings.upper[11, 0] = readings.lower[11, 0]
    asked = duplicate_questions(readings)
    assert asked["row"].tolist() == [13]
    assert "was a bottle swapped" in asked["question"][0]


def test_a_duplicate_of_nothing_is_asked_about():
    readings = readings_of(
        {"sample_id": ["A", "B"], "sample_type": ["routine", "duplicate"]}, ["ph"], [[8.0], [8.1]]
    )
    asked = duplicate_questions(readings)
    assert asked[["row", "text"]].values.tolist() == [[3, "B"]]
    assert own_repeatability(readings) == ()


def test_pairs_by_number_then_moment_then_day():
    samples = samples_of(
        7,
        {
            "sample_id": ["1", "1", None, None, None, None, "9"],
            "unit_id": ["A", "A", "A", "A", "B", "B", "B"],
            "taken_on": ["2031-01-05 08:00", None, "2031-01-05 09:00", "2031-01-05 09:00",
                         "2031-02-01", "2031-02-01 14:00", "2031-03-01"],
            "sample_type": ["routine", "duplicate", "routine", "duplicate", "routine",
                            "duplicate", "duplicate"],
        },
    )  # fmt: skip
    found = find_replicates(samples)
    pairs = [found.row[found.group == k].tolist() for k in range(3)]
    assert pairs == [[0, 1], [2, 3], [4, 5]]
    assert found.unpaired.tolist() == [6]


def test_two_samples_of_a_day_leave_a_duplicate_open():
    samples = samples_of(
        3,
        {
            "unit_id": ["A", "A", "A"],
            "taken_on": ["2031-01-05 08:00", "2031-01-05 15:00", "2031-01-05"],
            "sample_type": ["routine", "routine", "duplicate"],
        },
    )
    assert find_replicates(samples).unpaired.tolist() == [2]
