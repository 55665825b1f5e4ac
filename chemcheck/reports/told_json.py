"""Balances and remedies of the samples that are told of in full, as JSON."""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from chemcheck.assessment.balances import SampleBalance
from chemcheck.assessment.record import Assessment
from chemcheck.assessment.remedies import Remedy
from chemcheck.causes.contaminant_balance import ContaminantBalance, Explained
from chemcheck.causes.expected_fill import ExpectedComparison
from chemcheck.causes.mixed_technologies import MixedTechnology
from chemcheck.causes.reserve_balance import ReserveBalance
from chemcheck.chemistry.range_record import Range
from chemcheck.reports.balance_words import balance_words
from chemcheck.reports.check_document import worst_first
from chemcheck.reports.json_text import json_value
from chemcheck.reports.text_pieces import Pieces

# Balances and remedies are worked out one sample at a time: for so many, the worst first.
TOLD = 500


class ToldSamples:
    """What is told of single samples in a document of all.

    Parameters
    ----------
    assessment : Assessment
        All samples.
    """

    def __init__(self, assessment: Assessment) -> None:
        self._assessment = assessment
        self.rows = np.sort(worst_first(assessment.headline, TOLD))
        if assessment.remedies is not None:
            assessment.remedies.prepare(self.rows.tolist())

    def head(self) -> Mapping[str, int]:
        """Return how many samples have balances and remedies, and how many there are."""
        return {"samples": int(self.rows.size), "of": self._assessment.headline.verdict.size}

    def assumptions(self) -> list[str]:
        """Say of which samples balances and remedies are not worked out, if of any."""
        told, of = self.rows.size, self._assessment.headline.verdict.size
        if told == of:
            return []
        return [
            f"balances and remedies are worked out for the {told:,} worst of {of:,} samples: check "
            "a part of the file by itself for those of others"
        ]

    def remedies(self, rows: slice) -> Pieces:
        """Return the remedies of a stretch of samples as JSON lists."""
        remedies = self._assessment.remedies
        if remedies is None:
            return self._pieces(rows, "[]", None)
        return self._pieces(
            rows, "[]", lambda row: [_remedy(one) for one in remedies.of_sample(row)]
        )

    def balances(self, rows: slice) -> Pieces:
        """Return the balances of a stretch of samples as JSON objects, null where none."""
        balances = self._assessment.balances
        if balances is None:
            return self._pieces(rows, "null", None)
        return self._pieces(rows, "null", lambda row: _balance(balances.of_sample(row)))

    def _pieces(self, rows: slice, nothing: str, told: Callable[[int], Any] | None) -> Pieces:
        code: npt.NDArray[np.int64] = np.zeros(rows.stop - rows.start, dtype=np.int64)
        texts = [nothing]
        if told is not None:
            begin, end = np.searchsorted(self.rows, (rows.start, rows.stop))
            for row in self.rows[begin:end].tolist():
                code[row - rows.start] = len(texts)
                texts.append(json_value(told(row)))
        return Pieces(pa.array(texts, pa.large_string()), code)


def _remedy(one: Remedy) -> dict[str, Any]:
    return {
        "title": one.title,
        "steps": list(one.steps),
        "predicted": [each._asdict() for each in one.predicted],
        "verdict": one.verdict,
        "feasible": one.feasible,
        "held_back": one.held_back,
        "cautions": list(one.cautions),
        "needs": list(one.needs),
    }


def _balance(one: SampleBalance) -> dict[str, Any] | None:
    said = balance_words(one)
    if not said:
        return None
    return {
        "said": list(said),
        "contaminants": [_contaminant(each) for each in one.contaminants],
        "reserve_alkalinity": None if one.reserve is None else _reserve(one.reserve),
        "mixed": None if one.mixed is None else _mixed(one.mixed),
        "needs": list(one.needs),
        "expected_fill": None if one.expected is None else _expected(one.expected),
    }


def _expected(one: ExpectedComparison) -> dict[str, Any]:
    return {
        "differ": [
            {
                "analyte": each.analyte,
                "found": _ends(each.found),
                "expected": _ends(each.expected),
                "side": "more" if each.more else "less",
            }
            for each in one.differ
        ],
        "agree": list(one.agree),
    }


def _contaminant(one: ContaminantBalance) -> dict[str, Any]:
    return {
        "analyte": one.analyte,
        "found": _ends(one.found),
        "fresh": _ends(one.fresh),
        "system_l": _ends(one.system),
        "topped_up_l": one.topped_up,
        "by_glycol": one.physics or None,
        "leak": _explained(one.leak),
        "evaporation": _explained(one.evaporation),
    }


def _explained(one: Explained) -> dict[str, Any]:
    return {
        "explained": _ends(one.level),
        "remains": _ends(one.remains),
        "mass_g": _ends(one.mass),
        "salt_g": None if one.salt is None else _ends(one.salt),
        "sea_water_ml": None if one.seawater is None else _ends(one.seawater),
    }


def _reserve(one: ReserveBalance) -> dict[str, Any]:
    return {
        "left": _ends(one.left),
        "lost": _ends(one.balance.lost),
        "by_acid": {name: _ends(part) for name, part in one.balance.by_acid.items()},
        "explained": _ends(one.balance.explained),
        "unexplained": _ends(one.balance.unexplained),
        "not_measured": list(one.unread),
        "carbon_dioxide": one.carbon_dioxide,
    }


def _mixed(one: MixedTechnology) -> dict[str, Any]:
    return {
        "technology": one.technology,
        "fraction": {"value": one.value, **_ends(one.fraction)},
        "left": one.left,
        "tracers": list(one.tracers),
        "disagree": list(one.disagree),
        "do": [
            {"do": band.do, "source": band.source, "evidence": band.evidence} for band in one.bands
        ],
    }


def _ends(one: Range) -> dict[str, float]:
    return {"lower": float(one.lower), "upper": float(one.upper)}
