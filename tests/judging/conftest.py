"""Methods of a stated precision, so that a test of judging hangs on no file of the library."""

from collections.abc import Callable

import pytest

from chemcheck.judging import uncertainty
from chemcheck.limit_library.records import MethodPrecision

SetPrecision = Callable[..., None]


@pytest.fixture
def precision(monkeypatch: pytest.MonkeyPatch) -> SetPrecision:
    """Give every method one standard uncertainty; none at first."""

    def set_precision(absolute: float = 0.0, relative: float = 0.0) -> None:
        stated = MethodPrecision(absolute, relative, None, "invented", "memory")
        monkeypatch.setattr(uncertainty, "precision_of", lambda method, analyte: stated)

    set_precision()
    return set_precision
