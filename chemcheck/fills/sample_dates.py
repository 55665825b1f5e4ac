"""Dates that cannot be: a sample from the future, a receipt before the sample was taken."""

from datetime import date

import numpy as np
import pandas as pd

from chemcheck.intake.sample_facts import fact_column, fact_dates
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.questions import ask, join_questions


def date_questions(samples: pd.DataFrame, today: date) -> pd.DataFrame:
    """Ask about samples dated in the future, and received before they were taken.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``taken_on`` and free columns, among them perhaps the date of receipt.
    today : date
        What the future is relative to.

    Returns
    -------
    DataFrame
        ``QUESTION_COLUMNS``.

    Examples
    --------
    >>> samples = pd.DataFrame({
    ...     "file": "a.csv", "row": [2, 3],
    ...     "taken_on": pd.to_datetime(["2031-05-02", "2131-05-02"]),
    ... })
    >>> date_questions(samples, date(2031, 5, 3))["row"].tolist()
    [3]
    """
    ahead = pd.Timedelta(days=check_settings("dates_and_meters")["days_ahead"].value)
    latest = pd.Timestamp(today) + ahead
    future = np.flatnonzero((samples["taken_on"].dt.floor("D") > latest).to_numpy())
    tables = [
        ask(
            samples,
            future,
            "taken_on",
            _texts(samples["taken_on"].iloc[future]),
            f"after today, {today}: is the year wrong, or the order of day and month?",
        )
    ]
    received = fact_dates(samples, "received_on")
    title = fact_column(samples, "received_on")
    if received is not None and title is not None:
        taken = samples["taken_on"].dt.floor("D").to_numpy("datetime64[s]")
        early = np.flatnonzero(received < taken)  # False where either is unknown
        said = [
            f"received before it was taken, {text}: which of the two dates is wrong?"
            for text in _texts(samples["taken_on"].iloc[early])
        ]
        texts = samples[title].iloc[early].astype(str).tolist()
        tables.append(ask(samples, early, title, texts, said))
    return join_questions(tables)


def _texts(dates: pd.Series) -> list[str]:
    return [str(text) for text in dates.dt.strftime("%Y-%m-%d")]
