"""Whatever happens to a limit file, it is either read or refused with one line."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chemcheck.errors import LimitFileError
from chemcheck.limit_library import check_file
from chemcheck.limit_library.folder import set_paths
from chemcheck.limit_library.records import LimitSet

SETS = ("fill_water_default", "heavy_duty_additive_in_service", "new_heavy_duty_fully_formulated")
TEXTS = {
    key: set_paths()[key].read_text("utf-8").replace(f"id: {key}\n", "id: mine\n") for key in SETS
}
WORDS = ("", " ", ":", "{}", "[]", "40", "-1", ".nan", "drop", "~", "'", "&a", "*a", "!!int", "\t")

slow_fixture = settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=150, deadline=None
)


def read_or_refuse(path):
    refused = None
    try:
        read = check_file(path)
    except LimitFileError as error:
        refused = str(error)
    if refused is None:
        assert isinstance(read, LimitSet)
    else:
        assert refused.startswith(str(path))
        assert len(refused.splitlines()) == 1


@slow_fixture
@given(key=st.sampled_from(SETS), data=st.data())
def test_a_word_put_anywhere(tmp_path, key, data):
    text = TEXTS[key]
    start = data.draw(st.integers(0, len(text)))
    stop = data.draw(st.integers(start, min(len(text), start + 30)))
    path = tmp_path / "mine.yaml"
    path.write_text(text[:start] + data.draw(st.sampled_from(WORDS)) + text[stop:], "utf-8")
    read_or_refuse(path)


@slow_fixture
@given(key=st.sampled_from(SETS), data=st.data())
def test_lines_missing_or_moved(tmp_path, key, data):
    lines = TEXTS[key].splitlines()
    gone = data.draw(st.integers(0, len(lines) - 1))
    line = lines.pop(gone)
    if data.draw(st.booleans()):
        lines.insert(data.draw(st.integers(0, len(lines))), line)
    path = tmp_path / "mine.yaml"
    path.write_text("\n".join(lines), "utf-8")
    read_or_refuse(path)


@slow_fixture
@given(data=st.binary(max_size=200))
def test_any_bytes(tmp_path, data):
    path = tmp_path / "mine.yaml"
    path.write_bytes(data)
    read_or_refuse(path)
