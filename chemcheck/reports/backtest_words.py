"""A backtest as a part of a document and as lines of text."""

from typing import Any

import pandas as pd

from chemcheck.analytes import analyte
from chemcheck.assessment.backtest import Backtest
from chemcheck.assessment.backtest_scores import COVERAGES, MODEL, Score
from chemcheck.assessment.forecast import Forecast
from chemcheck.reports.numbers import number
from chemcheck.reports.text_layout import bullets, heading, paragraph, table


def backtest_document(forecast: Forecast, backtest: Backtest) -> dict[str, Any]:
    """Return a backtest as a part of a forecast's document.

    Parameters
    ----------
    forecast : Forecast
        What was tested.
    backtest : Backtest
        What came of it.

    Returns
    -------
    dict
        ``cases``, ``coverage_50``, ``coverage_80``, ``coverage_95``, ``bias``,
        ``median_absolute_error``, ``interval_score`` of the model [spreads of the analyte's
        readings], ``baselines`` with the same of each plain way, ``model_wins``, ``sentence``,
        ``origins``, ``by_analyte`` [the analyte's unit], ``not_scored``.
    """
    model = backtest.scores.get(MODEL)
    plain = {name: score for name, score in backtest.scores.items() if name != MODEL}
    wins = model is not None and all(
        model.interval_score < score.interval_score for score in plain.values()
    )
    none: dict[str, float | None] = dict.fromkeys(_names())
    return {
        "cases": len(backtest.cases),
        **(none if model is None else _score(model)),
        "baselines": {name: _score(score) for name, score in plain.items()},
        "model_wins": wins,
        "sentence": backtest.sentence,
        "origins": [day.date().isoformat() for day in backtest.origins],
        "by_analyte": _analytes(forecast, backtest).to_dict("records"),
        "not_scored": [{"what": what, "reason": why} for what, why in backtest.remarks],
    }


def backtest_text(forecast: Forecast, backtest: Backtest) -> str:
    """Return a backtest as a section of text.

    Parameters
    ----------
    forecast, backtest
        As for `backtest_document`.
    """
    parts = [heading("Were past forecasts right?"), paragraph(backtest.sentence)]
    if backtest.scores:
        _, explained, *of_analytes = backtest_lines(forecast, backtest)
        parts.append(paragraph(explained))
        titles = ("way", *(f"in {share:.0%}" for share in COVERAGES), "bias", "error", "score")
        rows = [
            (
                name,
                *(f"{100 * score.coverage[share]:.0f} %" for share in COVERAGES),
                *(
                    f"{value:.2f}"
                    for value in (score.bias, score.median_absolute_error, score.interval_score)
                ),
            )
            for name, score in backtest.scores.items()
        ]
        parts += ["", table(titles, rows, numeric=range(1, 7)), ""]
        parts.append(bullets(of_analytes))
    return "\n".join(parts)


def backtest_lines(forecast: Forecast, backtest: Backtest) -> list[str]:
    """Return a backtest in sentences: what came of it, what the numbers are, each analyte.

    Parameters
    ----------
    forecast, backtest
        As for `backtest_document`.
    """
    if not backtest.scores:
        return [backtest.sentence]
    days = " and ".join(f"{day:%Y-%m-%d}" for day in backtest.origins)
    return [
        backtest.sentence,
        f"Foreseen from the samples taken by {days}. Coverage is the share of readings "
        "within the band; errors are in spreads of each analyte's readings; of the "
        "interval score of the 80 % band less is better.",
        *(
            f"{analyte(line['analyte']).title}: half of {line['cases']} readings were "
            f"foreseen within {number(line['median_absolute_error'], 2)} {line['unit']}; "
            f"80 % band held {100 * line['coverage_80']:.0f} %; best way: {line['best']}"
            for line in _analytes(forecast, backtest).to_dict("records")
        ),
    ]


def case_table(forecast: Forecast, backtest: Backtest) -> pd.DataFrame:
    """Return every reading that was foreseen, with what each way foresaw.

    Parameters
    ----------
    forecast, backtest
        As for `backtest_document`.

    Returns
    -------
    DataFrame
        One row a reading; empty where none could be foreseen.
    """
    if not len(backtest.cases):
        return pd.DataFrame(columns=["analyte", "unit_id", "origin", "age", "found"])
    table = backtest.cases.copy()
    names = [column.analyte for column in forecast.readings.columns]
    table["column"] = [names[k] for k in table["column"]]
    return table.rename(columns={"column": "analyte"})


def _names() -> list[str]:
    return [f"coverage_{100 * share:.0f}" for share in COVERAGES] + [
        "bias",
        "median_absolute_error",
        "interval_score",
    ]


def _score(score: Score) -> dict[str, float | None]:
    values = [
        *(score.coverage[share] for share in COVERAGES),
        score.bias,
        score.median_absolute_error,
        score.interval_score,
    ]
    return dict(zip(_names(), values, strict=True))


def _analytes(forecast: Forecast, backtest: Backtest) -> pd.DataFrame:
    """Name the analyte and unit of each line."""
    columns = [forecast.readings.columns[k] for k in backtest.by_analyte["column"]]
    table = backtest.by_analyte.drop(columns="column")
    table.insert(0, "analyte", [column.analyte for column in columns])
    # As objects: an analyte without bases has None, not NaN.
    table.insert(1, "basis", pd.Series([column.basis for column in columns], table.index, object))
    table.insert(2, "unit", [analyte(column.analyte).unit for column in columns])
    return table
