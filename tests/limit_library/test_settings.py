"""Numbers that steer checks: each has a source and evidence, and every file can be read."""

import pytest

from chemcheck.errors import LimitFileError
from chemcheck.limit_library import limit_folder
from chemcheck.limit_library.records import EVIDENCE
from chemcheck.limit_library.settings import read_check_file, read_settings

FILES = sorted((limit_folder() / "checks").glob("*.yaml"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_number_says_who_says_so(path):
    values = read_check_file(path).mapping()["values"].mapping()
    assert values
    for entry in values.values():
        fields = entry.mapping()
        assert fields["source"].text()
        assert fields["evidence"].text() in EVIDENCE


@pytest.mark.parametrize(
    ("entry", "problem"),
    [
        ("{value: 3, source: me}", "the key 'evidence' is missing"),
        ("{value: 3, source: me, evidence: hearsay}", "'hearsay' is no evidence known here"),
        ("{value: many, source: me, evidence: memory}", "many"),
        ("{value: 3, source: me, evidence: memory, unit: m}", "'unit' is no key known here"),
    ],
)
def test_a_number_that_cannot_be_used(tmp_path, entry, problem):
    file = tmp_path / "mine.yaml"
    file.write_text(f'version: "1"\nvalues:\n  width: {entry}\n', encoding="utf-8")
    with pytest.raises(LimitFileError, match=problem):
        read_settings(read_check_file(file).mapping()["values"])


def test_a_file_without_values(tmp_path):
    file = tmp_path / "mine.yaml"
    file.write_text('version: "1"\n', encoding="utf-8")
    with pytest.raises(LimitFileError, match="the key 'values' is missing"):
        read_check_file(file)
