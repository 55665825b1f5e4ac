"""What was done to units between samples."""

from chemcheck.history.record import EVENT_KINDS, Events

__all__ = ["EVENT_KINDS", "Events"]
