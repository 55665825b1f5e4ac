"""Two plain ways to name a cause: the nearest signature, and a forest trained on other draws."""

import numpy as np
from sklearn.ensemble import RandomForestClassifier

from tests.causes.simulated_faults.draw import Cases, variants
from tests.causes.simulated_faults.moves import Acting, Coolant, act, as_read, seen, sound
from tests.causes.simulated_faults.ranges import Floats, ranges

HALF = np.full((1, 1), 0.5)


def middles(cases: Cases) -> Floats:
    """Return readings as numbers: the middle of a span, the end that an open one has."""
    middle = (cases.lower + cases.upper) / 2
    return np.where(np.isinf(cases.upper), cases.lower, middle)


def _expected(cases: Cases, coolant: Coolant) -> tuple[Floats, Floats]:
    """Return mean and standard deviation of the readings of coolants of one strength."""
    shape = (len(cases), 1)
    read = as_read(coolant, cases.units, cases.panel)
    mean = [np.broadcast_to(mean, shape)[:, 0] for mean, _ in read]
    sd = [np.broadcast_to(np.sqrt(variance), shape)[:, 0] for _, variance in read]
    return np.stack(mean, axis=1), np.stack(sd, axis=1)


def _squeezed(z: Floats) -> Floats:
    """Return deviations with the large ones drawn in."""
    return np.sign(z) * np.log1p(np.abs(z))


def nearest_signature(cases: Cases) -> Floats:
    """Score each cause by the cosine between what moved and what it moves at half strength.

    Parameters
    ----------
    cases : Cases
        Samples.

    Returns
    -------
    ndarray, shape (samples, patterns)
        From -1 to 1; minus infinity where a cause cannot occur.
    """
    known = ranges()
    mean, sd = _expected(cases, sound(cases.units))
    base = cases.panel.seen_on_sound
    spread = np.sqrt(base * (1 - base))
    missing = np.column_stack((np.isnan(cases.lower), cases.observations < 0))
    found = np.column_stack(
        (_squeezed((middles(cases) - mean) / sd), _squeezed((cases.observations - base) / spread))
    )
    found[missing] = 0.0
    score = np.full(cases.possible.shape, -np.inf)
    for j, pattern in enumerate(known.patterns):
        shown = np.tile((seen(cases.panel, [pattern]) - base) / spread, (len(cases), 1))
        for variant in {v for f in range(len(known.formulas)) for v in variants(pattern, f)}:
            coolant = act(sound(cases.units), cases.units, Acting(j, int(variant), HALF))
            moved = (_expected(cases, coolant)[0] - mean) / sd
            signature = np.where(missing, 0.0, _squeezed(np.column_stack((moved, shown))))
            length = np.linalg.norm(signature, axis=1) * np.linalg.norm(found, axis=1)
            cosine = (signature * found).sum(axis=1) / np.maximum(length, 1e-9)
            score[:, j] = np.maximum(score[:, j], cosine)
    return np.where(cases.possible, score, -np.inf)


def _features(cases: Cases) -> Floats:
    """Return what a classifier learns from; NaN where something was not measured."""
    mean, sd = _expected(cases, sound(cases.units))
    middle = middles(cases)
    seen_or_not = np.where(cases.observations < 0, np.nan, cases.observations)
    names = sorted(set(ranges().technologies))
    technology = np.array([names.index(t) for t in ranges().technologies])[cases.units.formula]
    return np.column_stack(
        (
            _squeezed((middle - mean) / sd),
            np.log1p(np.maximum(middle, 0)),
            seen_or_not,
            np.eye(len(names))[technology],
            cases.units.glycol,
            cases.units.tap,
        )
    )


def forest_scores(train: Cases, cases: Cases, trees: int = 200) -> Floats:
    """Score each cause by a random forest trained on another draw.

    Parameters
    ----------
    train, cases : Cases
        What it learns from and what it is asked, by one panel.
    trees : int
        Of the forest.

    Returns
    -------
    ndarray, shape (samples, patterns)
        Probabilities; those of no cause are left out.
    """
    # Samples of two causes stand in twice, once under each.
    second = np.flatnonzero(train.causes[:, 1] >= 0)
    x = _features(train)
    forest = RandomForestClassifier(trees, min_samples_leaf=2, random_state=20250403, n_jobs=2)
    forest.fit(
        np.concatenate((x, x[second])),
        np.concatenate((train.causes[:, 0], train.causes[second, 1])),
    )
    score = np.zeros(cases.possible.shape)
    for column, cause in enumerate(forest.classes_):
        if cause >= 0:
            score[:, cause] = forest.predict_proba(_features(cases))[:, column]
    return score
