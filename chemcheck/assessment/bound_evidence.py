"""Whether each bound is right for a fleet: metal released before and after it was passed."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.dilution import Dilution
from chemcheck.assessment.forecast import Forecast
from chemcheck.assessment.trend_ends import trend_ends
from chemcheck.assessment.trend_rows import TrendRows
from chemcheck.limit_library import limit_folder
from chemcheck.planning import ReleaseComparison, compare_release, holm
from chemcheck.readings.record import READ, Readings
from chemcheck.units import read_yaml

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

FILE = "release.yaml"
# A metal counts if it was read in so great a share of the samples; all that count are added up.
READ_SHARE = 0.9
SIGNIFICANT = 0.05
NO_METALS = "no metal was read throughout"


@dataclass(frozen=True, slots=True)
class BoundEvidence:
    """Release of metal on both sides of each bound.

    Parameters
    ----------
    bounds : DataFrame
        One row a technology, analyte and action bound: ``column``, ``side``, ``technology``,
        ``limit_set``, ``evidence``, ``bound`` (the middle one, where it is a fraction of each
        fresh fill), ``metals``; of both sides ``inside_rate``, ``inside_low``, ``inside_high``,
        ``inside_units``, ``inside_exposure`` and the same of ``outside``; ``difference_low``,
        ``difference_high``; ``threshold``, ``threshold_low``, ``threshold_high`` where the rate
        changes; ``p_value`` of a change anywhere, adjusted for all bounds compared; ``reason``
        and ``threshold_reason`` where the data cannot tell.
    unit : str
        Of the rates: mg where every system's volume is known, else mg/L.
    per : float
        Use that a rate is given for [axis].
    confidence : float
        Of the intervals.
    """

    bounds: pd.DataFrame
    unit: str
    per: float
    confidence: float


def bound_evidence(forecast: Forecast) -> BoundEvidence:
    """Compare, for each bound of a forecast, the release of metal before and after it.

    Parameters
    ----------
    forecast : Forecast
        Its readings, log, axis, bounds and technologies.

    Returns
    -------
    BoundEvidence
        From the fleet's own history, dilution by top-ups taken out.

    Notes
    -----
    Rates are those of `planning.compare_release`. What a value does to metal and what age does
    cannot be told apart where all fills age alike.
    """
    page = _page()
    rows, dilution = forecast.fits.rows, forecast.fits.dilution
    volume = np.append(rows.volume, np.nan)[rows.fills.unit]
    in_mg = bool(np.isfinite(volume[rows.usable]).all())
    per, confidence = float(page["per"][forecast.axis]), float(page["confidence"]["value"])
    found = pd.DataFrame(
        _compared(
            forecast, rows, dilution, volume if in_mg else np.ones(len(volume)), confidence, page
        )
    )
    if len(found):
        for name in found.columns:
            if name.endswith(("_rate", "_low", "_high")) and not name.startswith("threshold"):
                found[name] *= per
        told = found["p_value"].notna()
        found.loc[told, "p_value"] = holm(found.loc[told, "p_value"].to_numpy())
        chance = told & (found["p_value"] >= SIGNIFICANT) & found["threshold"].notna()
        found.loc[chance, ["threshold", "threshold_low", "threshold_high"]] = np.nan
        found.loc[chance, "threshold_reason"] = (
            "the data cannot tell: it stands out no more than one of so many bounds may by chance"
        )
    return BoundEvidence(found, "mg" if in_mg else "mg/L", per, confidence)


@cache
def _page() -> Mapping[str, Any]:
    return read_yaml(limit_folder() / FILE)


def _compared(
    forecast: Forecast,
    rows: TrendRows,
    dilution: Dilution,
    volume: Floats,
    confidence: float,
    page: Mapping[str, Any],
) -> Iterator[dict[str, Any]]:
    readings, units = forecast.fits.readings, forecast.units
    metals = frozenset(page["metals"]["analytes"])
    faced = forecast.analytes.assign(
        unit_id=units["unit_id"].to_numpy()[forecast.analytes["unit"]],
        technology=units["technology"].to_numpy(dtype=object)[forecast.analytes["unit"]],
    )
    released = {
        kind: _released(
            readings, rows, dilution, rows.usable & rows.of_technology(kind), metals, volume
        )
        for kind in {_kind(mine) for _, mine in faced.groupby("technology", dropna=False)}
    }
    keys = ["column", "side", "technology"]
    for _, mine in faced.groupby(keys, dropna=False, sort=False):
        column, side, kind = int(mine["column"].iloc[0]), str(mine["side"].iloc[0]), _kind(mine)
        if readings.columns[column].analyte in metals:
            continue
        place, names, least, most = released[kind]
        middle = float(mine["bound"].median())
        own = pd.Series(mine["bound"].to_numpy(), index=mine["unit_id"].to_numpy())
        bound = own.reindex(rows.fills.unit_ids[rows.fills.unit[place]]).fillna(middle).to_numpy()
        pooled = np.zeros(len(rows.usable), dtype=bool)
        pooled[place] = True
        low, high = trend_ends(readings, column, pooled)
        read = readings.status[place, column] == READ
        # By its own bound, so that fractions of each fresh fill stand on one scale.
        scale = np.where(read, 1.0, np.nan) / bound
        found = compare_release(
            rows.fills.group[place],
            rows.fills.unit[place],
            rows.usage.age[place],
            (low * scale, high * scale),
            (least, most),
            1.0,
            side,
            confidence=confidence,
        )
        yield {
            "column": column,
            "side": side,
            "technology": kind,
            "limit_set": mine["limit_set"].iloc[0],
            "evidence": mine["evidence"].iloc[0],
            "bound": middle,
            "metals": names,
            **_row(found, middle, NO_METALS if not names else None),
        }


def _kind(faced: pd.DataFrame) -> str | None:
    """Return the technology that rows share, None where nobody stated it."""
    kind = faced["technology"].iloc[0]
    return None if pd.isna(kind) else str(kind)


def _released(
    readings: Readings,
    rows: TrendRows,
    dilution: Dilution,
    pooled: Bools,
    metals: frozenset[str],
    volume: Floats,
) -> tuple[npt.NDArray[np.int64], tuple[str, ...], Floats, Floats]:
    """Return the samples of one technology, the metals added up, and the ends of their sum."""
    place = np.flatnonzero(pooled)
    least, most = np.zeros(len(place)), np.zeros(len(place))
    names: list[str] = []
    for column in _metal_columns(readings, metals):
        read = readings.status[place, column] == READ
        if not len(place) or read.mean() < READ_SHARE:
            continue
        low, high = trend_ends(readings, column, pooled)
        factor = np.exp(dilution.log_factor(readings, rows, column)[place])
        gap = np.where(read, 1.0, np.nan)
        least, most = least + gap * low / factor, most + gap * high / factor
        names.append(readings.columns[column].analyte)
    whole = np.nan if not names else volume[place]
    return place, tuple(names), least * whole, most * whole


def _metal_columns(readings: Readings, metals: frozenset[str]) -> Sequence[int]:
    """Return one column of each metal: bases do not add up."""
    first: dict[str, int] = {}
    for place, column in enumerate(readings.columns):
        if column.analyte in metals:
            first.setdefault(column.analyte, place)
    return list(first.values())


def _row(found: ReleaseComparison, middle: float, no_metals: str | None) -> dict[str, Any]:
    threshold = found.threshold
    return {
        **{
            f"{name}_{key}": getattr(rate, key)
            for name, rate in (("inside", found.inside), ("outside", found.outside))
            for key in ("rate", "low", "high", "units", "exposure")
        },
        "difference_low": found.difference_low,
        "difference_high": found.difference_high,
        "threshold": threshold.value * middle,
        "threshold_low": threshold.low * middle,
        "threshold_high": threshold.high * middle,
        "p_value": threshold.p_value,
        "reason": no_metals or found.reason,
        "threshold_reason": no_metals or threshold.reason,
    }
