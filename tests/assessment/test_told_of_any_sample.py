"""Balances and remedies of samples with every kind of reading: no warning, and ends in order."""

import io
import json

import numpy as np
import pytest

from chemcheck import check
from chemcheck.remedies.estimate import between, exact
from chemcheck.reports.balance_words import balance_words
from chemcheck.reports.check_json import write_check_json
from chemcheck.reports.remedy_words import remedy_sections
from tests.builders import readings

SPANS = {
    "glycol:by_volume": (0, 100), "ph:neat": (2, 13), "nitrite": (0, 6000), "chloride": (0, 5000),
    "sulfate": (0, 3000), "reserve_alkalinity:sample": (0, 20), "freezing_point": (-80, 0),
    "iron": (0, 500), "glycolate": (0, 8000), "azoles": (0, 3000), "silicon": (0, 500),
    "total_hardness": (0, 2000), "molybdenum": (0, 900), "boron": (0, 900),
    "carboxylates": (0, 30000), "conductivity:at_25_c": (0, 9000),
}  # fmt: skip
N = 60


def any_samples(random):
    """Draw blanks, numbers, non-detects, open ends and ranges, of all kinds of sample."""
    columns = {}
    for key, (low, high) in SPANS.items():
        value = low + (high - low) * random.random(N) ** 2
        kind = random.random(N)
        columns[key] = [
            None if u < 0.3 else float(v) if u < 0.8 else (low, max(float(v), low)) if u < 0.9
            else (float(v), np.inf) if u < 0.95 and low == 0 else (float(v) - 1e-3, float(v))
            for v, u in zip(value, kind, strict=True)
        ]  # fmt: skip

    def some(*names):
        return [names[k] for k in random.integers(len(names), size=N)]

    return readings(
        columns,
        technology=some("heavy_duty_additive", "organic_acid", "hybrid", "glycerol", None),
        sample_type=some(*["routine"] * 6, "fresh fill", "expected fill"),
        material=some(*["coolant"] * 5, "water"),
        unit_id=some("A", "B", None),
        glycol_type=some("ethylene_glycol", "propylene_glycol", None),
        taken_on=np.datetime64("2025-01-01", "s") + np.arange(N).astype("timedelta64[D]"),
    )


@pytest.mark.parametrize("seed", range(6))
def test_whatever_the_readings(seed):
    random = np.random.default_rng(seed)
    answer = check(
        any_samples(random),
        system=(None, exact(12.0), between(10.0, 15.0))[seed % 3],
        drains=(None, exact(8.0))[seed % 2],
        rule=("overlap", "simple", "guarded")[seed % 3],
    )
    answer.remedies.prepare(range(N))
    told = 0
    for row in range(N):
        for remedy in answer.remedies.of_sample(row):
            told += 1
            assert remedy.title
            assert all(one.lower <= one.upper + 1e-9 for one in remedy.predicted)
        for section in remedy_sections(answer, row):
            assert all("nan" not in item.split() for item in section.items)
        assert all(
            "nan" not in said.split() for said in balance_words(answer.balances.of_sample(row))
        )
    assert told > 10
    file = io.BytesIO()
    write_check_json(answer, file)
    assert len(json.loads(file.getvalue())["samples"]) == N
