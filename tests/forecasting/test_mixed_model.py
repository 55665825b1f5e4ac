"""The same model on the same readings by statsmodels' MixedLM; its answers are in published/."""

from tests.forecasting.mixed_model_agreement import assert_agreement
from tests.reference.mixed_model import read_answers, read_readings


def test_agrees_with_the_mixed_model_of_statsmodels():
    assert_agreement(read_readings(), read_answers())
