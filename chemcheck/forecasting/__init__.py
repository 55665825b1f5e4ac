"""When a reading reaches a bound: trends pooled over a fleet, as distributions."""

from chemcheck.forecasting.fleet_trend import FleetTrend

__all__ = ["FleetTrend"]
