"""A way to read results from text."""

from collections.abc import Callable
from pathlib import Path

import pytest

from chemcheck.intake.read import read_results
from chemcheck.readings.record import Readings


@pytest.fixture
def read_text_of(tmp_path: Path) -> Callable[..., Readings]:
    """Return a reader of files made from text, one for each text."""

    def read(*texts: str | bytes, columns: str | None = None, **options) -> Readings:
        paths = []
        for number, text in enumerate(texts):
            path = tmp_path / f"{'abc'[number]}.csv"
            path.write_bytes(text if isinstance(text, bytes) else text.encode())
            paths.append(path)
        mapping = None
        if columns is not None:
            mapping = tmp_path / "ours.yaml"
            mapping.write_text(columns, encoding="utf-8")
        return read_results(paths, mapping, **options)

    return read
