"""When a reading reaches a bound: trends pooled over a fleet, as distributions."""

from chemcheck.forecasting.fleet_trend import FleetTrend
from chemcheck.forecasting.joint_crossing import joint_crossing

__all__ = ["FleetTrend", "joint_crossing"]
