"""Results held against limits: states, verdicts, probabilities, as whole columns."""

from chemcheck.judging.all_samples import judge
from chemcheck.judging.decision_rules import DECISION_RULES, DecisionRule
from chemcheck.judging.record import (
    RULES,
    STATE_NAMES,
    VERDICT_NAMES,
    BoundInForce,
    Judged,
    Quantity,
)
from chemcheck.judging.result_values import (
    ResultValues,
    bound_numbers,
    probability_outside,
    result_values,
)

__all__ = [
    "DECISION_RULES",
    "RULES",
    "STATE_NAMES",
    "VERDICT_NAMES",
    "BoundInForce",
    "DecisionRule",
    "Judged",
    "Quantity",
    "ResultValues",
    "bound_numbers",
    "judge",
    "probability_outside",
    "result_values",
]
