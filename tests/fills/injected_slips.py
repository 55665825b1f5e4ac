"""Slips put into clean rows at known places."""

from itertools import pairwise

import numpy as np
import pandas as pd

from chemcheck.fills.slip_factors import slip_library
from tests.fills.invented_fleet import Fleet


def inject(fleet: Fleet, seed: int, each: int = 4) -> dict[int, str]:
    """Put ``each`` slips of every kind into rows of their own; return the kind by row."""
    injection = _Injection(fleet, np.random.default_rng(seed), each)
    for factor in sorted({s.factor for slips in slip_library().factors.values() for s in slips}):
        injection.factor(factor)
    injection.fahrenheit()
    injection.swapped_columns()
    injection.cells_moved()
    injection.rows_moved()
    injection.wrong_dates()
    return injection.slipped


class _Injection:
    """The slips put into one fleet."""

    def __init__(self, fleet: Fleet, random, each: int) -> None:
        self.fleet, self.random, self.each = fleet, random, each
        self.ends = (fleet.lower, fleet.upper)
        self.slipped: dict[int, str] = {}

    def free(self, rows) -> list[int]:
        rows = [k for k in rows if k not in self.slipped]
        return self.random.permutation(rows)[: self.each].tolist()

    def factor(self, factor: float) -> None:
        columns = [
            j
            for j, name in enumerate(self.fleet.columns)
            if any(s.factor == factor for s in slip_library().factors.get(name, ()))
        ]
        for row in self.free(self.with_numbers(columns)):
            column = self.random.choice(self.numbers(row, columns))
            way = factor if self.random.random() < 0.5 else 1 / factor
            for end in self.ends:
                end[row, column] *= way
            self.slipped[row] = f"factor {factor:g}"

    def fahrenheit(self) -> None:
        names = slip_library().fahrenheit
        columns = [j for j, name in enumerate(self.fleet.columns) if name in names]
        for row in self.free(self.with_numbers(columns)):
            column = self.random.choice(self.numbers(row, columns))
            for end in self.ends:
                end[row, column] = 1.8 * end[row, column] + 32
            self.slipped[row] = "Fahrenheit"

    def swapped_columns(self) -> None:
        """Exchange two neighbours whose numbers differ by a factor of two or more."""
        for row in self.free(range(len(self.fleet.lower))):
            values = self.fleet.lower[row]
            pairs = [
                (a, b)
                for a, b in pairwise(self.numbers(row, range(len(values))))
                if max(values[a], values[b]) >= 2 * min(values[a], values[b]) > 0
            ]
            one, other = pairs[self.random.integers(len(pairs))]
            for end in self.ends:
                end[row, [one, other]] = end[row, [other, one]]
            self.slipped[row] = "swapped columns"

    def cells_moved(self) -> None:
        """Leave one cell of a row out, so that all behind it stand one column on."""
        for row in self.free(range(len(self.fleet.lower))):
            read = np.flatnonzero(~np.isnan(self.fleet.lower[row]))
            start = self.random.integers(0, len(read) - 5)
            for end in self.ends:
                end[row, read[start + 1 :]] = end[row, read[start:-1]].copy()
                end[row, read[start]] = np.nan
            self.slipped[row] = "cells one column on"

    def rows_moved(self) -> None:
        """Move the readings of three rows down by one."""
        for _ in range(max(1, self.each // 3)):
            start = int(self.random.integers(0, len(self.fleet.lower) - 4))
            block = range(start + 1, start + 4)
            if any(row in self.slipped for row in (start, *block)):
                continue
            for end in self.ends:
                end[start + 1 : start + 4] = end[start : start + 3].copy()
            self.slipped.update(dict.fromkeys(block, "rows one down"))

    def wrong_dates(self) -> None:
        samples = self.fleet.samples
        dates = samples["taken_on"]
        exchanged = dates.map(
            lambda d: pd.Timestamp(d.year, d.day, d.month) if d.day <= 12 else pd.NaT
        )
        apart = (exchanged - dates).dt.days.abs() >= 20
        for row in self.free(np.flatnonzero(apart).tolist()):
            samples.loc[row, "taken_on"] = exchanged.iloc[row]
            self.slipped[row] = "day and month exchanged"
        for row in self.free(range(len(dates))):
            years = 1 if self.random.random() < 0.5 else -1
            samples.loc[row, "taken_on"] = dates.iloc[row] + pd.DateOffset(years=years)
            self.slipped[row] = "wrong year"

    def numbers(self, row: int, columns) -> list[int]:
        """Columns in which the row has an exact number."""
        return [j for j in columns if self.fleet.lower[row, j] == self.fleet.upper[row, j]]

    def with_numbers(self, columns) -> list[int]:
        return [k for k in range(len(self.fleet.lower)) if self.numbers(k, columns)]
