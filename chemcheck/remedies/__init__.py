"""What to do about a finding, computed: one file per remedy."""

from chemcheck.remedies.deionised_share import TapShare, blend, tap_share

__all__ = ["TapShare", "blend", "tap_share"]
