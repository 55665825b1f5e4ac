"""A forecast as a JSON document."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from chemcheck._version import __version__
from chemcheck.assessment.backtest import Backtest
from chemcheck.assessment.bound_evidence import BoundEvidence
from chemcheck.assessment.forecast import PERCENTILES, Forecast
from chemcheck.limit_library import cautions
from chemcheck.reports.backtest_words import backtest_document
from chemcheck.reports.bound_choice_words import choice_of_bound
from chemcheck.reports.bound_evidence_words import evidence_document
from chemcheck.reports.odd_reading_words import odd_reading_document
from chemcheck.reports.odd_sample_words import odd_sample_document
from chemcheck.reports.offset_words import offset_document
from chemcheck.reports.suggestion_words import suggestion_document

SCHEMA = "chemcheck/forecast/1"


def forecast_document(
    forecast: Forecast, backtest: Backtest | None = None, evidence: BoundEvidence | None = None
) -> dict[str, Any]:
    """Return a forecast as a document that JSON can hold.

    Parameters
    ----------
    forecast : Forecast
        What to say.
    backtest : Backtest or None
        How past forecasts did, where that was asked.
    evidence : BoundEvidence or None
        Whether each bound is right for the fleet.

    Returns
    -------
    dict
        ``schema``, ``version``, ``limit_sets``, ``axis``, ``axis_unit``, ``risk``,
        ``choice_of_bound``, ``units``, ``suggestions``, ``odd_readings``, ``odd_samples``,
        ``method_offsets``, ``not_forecast``, ``assumptions``, ``cautions``, ``bound_evidence``
        where given, and ``backtest`` if asked. Places are on the axis since the fill; infinite
        beyond the horizon, which JSON writes as null.
    """
    analytes = forecast.analytes
    by_unit: Mapping[Any, pd.DataFrame] = dict(list(analytes.groupby("unit")))
    units = [
        _unit(forecast, row, by_unit.get(place, analytes.iloc[:0]))
        for place, row in enumerate(forecast.units.to_dict("records"))
    ]
    asked = {} if backtest is None else {"backtest": backtest_document(forecast, backtest)}
    if evidence is not None:
        asked["bound_evidence"] = evidence_document(forecast, evidence)
    return {
        "schema": SCHEMA,
        "version": __version__,
        "limit_sets": [
            {"id": s.id, "version": s.version, "sha256": s.sha256} for s in forecast.sets
        ],
        "axis": forecast.axis,
        "axis_unit": forecast.axis_unit,
        "risk": forecast.settings.risk,
        "choice_of_bound": choice_of_bound(forecast),
        "units": units,
        **asked,
        "suggestions": suggestion_document(forecast),
        "odd_readings": odd_reading_document(forecast),
        "odd_samples": odd_sample_document(forecast),
        "method_offsets": offset_document(forecast.readings, forecast.fits.levelled.offsets),
        "not_forecast": forecast.remarks.to_dict("records"),
        "assumptions": list(forecast.assumptions),
        "cautions": list(cautions(forecast.cautions)),
    }


def _unit(forecast: Forecast, row: Mapping[Any, Any], faced: pd.DataFrame) -> dict[str, Any]:
    limiting = row["limiting"]
    return {
        "unit_id": row["unit_id"],
        "fill": row["fill"],
        "technology": None if pd.isna(row["technology"]) else row["technology"],
        "samples_used": row["samples_used"],
        "status": row["status"],
        "limiting_analyte": None
        if limiting < 0
        else forecast.readings.columns[forecast.analytes["column"].iloc[limiting]].analyte,
        "crossing": {name: row[name] for name in PERCENTILES},
        "change_by": _date(row["change_by"]),
        "next_sample_by": _date(row["next_sample_by"]),
        "last_sample": _date(row["last_sample"]),
        "usage_per_day": row["rate"],
        "dilution": {"by": row["diluted_by"], "left": row["left"]} if row["diluted_by"] else None,
        "analytes": [_analyte(forecast, entry) for entry in faced.to_dict("records")],
    }


def _analyte(forecast: Forecast, row: Mapping[Any, Any]) -> dict[str, Any]:
    column = forecast.readings.columns[row["column"]]

    def ends(name: str) -> dict[str, float | None]:
        return {
            "lower": row[name.format("low")],
            "upper": row[name.format("high")],
        }

    return {
        "analyte": column.analyte,
        "basis": column.basis,
        "bound": row["bound"],
        "side": row["side"],
        "axis": forecast.axis,
        "status": row["status"],
        "slope": row["slope"],
        "slope_undiluted": row["slope_undiluted"],
        "crossing": {name: row[name] for name in PERCENTILES},
        "crossing_dates": {name: _date(row[f"{name}_date"]) for name in PERCENTILES},
        "probability_outside_now": row["probability_outside_now"],
        "bound_range": None if np.isnan(row["bound_low"]) else ends("bound_{}"),
        "crossing_at_bound_range": None if np.isnan(row["bound_low"]) else ends("p50_at_{}"),
        "choice_of_bound_outweighs_band": bool(row["choice_outweighs"]),
        "limit_set": row["limit_set"],
        "source": row["source"],
        "evidence": row["evidence"],
        "curve": row["curve"],
        "curve_share": row["curve_share"],
        "other_curve": None if pd.isna(row["other_curve"]) else row["other_curve"],
        "errors": row["errors"],
    }


def _date(value: Any) -> str | None:
    return None if pd.isna(value) else pd.Timestamp(value).date().isoformat()
