"""Every open file of waters is read, and what became of each row adds up."""

import pytest

from chemcheck.errors import IntakeError
from chemcheck.intake.read import read_results
from chemcheck.readings.record import ABSENT, BLANK, READ, REJECTED

# Rows below the header, as a spreadsheet counts them without rows of units.
ROWS = {
    "water/IonBalance.csv": ("wide", 22),
    "water/MenomineeMajorIons.csv": ("wide", 37),
    "water/MiscGW.csv": ("wide", 4),
    "water/hgc_dataset_basic.csv": ("wide", 17),
    "wqx/wqx_usgs_36sites.csv": ("wqx", 1358),
    "wqx/wqx_rivers_timeseries.csv": ("wqx", 1517),
    "wqx/wqp_results.txt": ("wqx", 5),
    "wqx/wqp3_results.txt": ("wqx", 5),
    "wqx/samples_results.txt": ("wqx", 67),
}
NO_RESULTS = {
    "wqx/wqp_detection_limits.txt": "detection limits without the results they are of",
    "wqx/WQXunitRef.csv": "row 1: no column known here among Domain",
    "wqx/USGS_units_speciation.csv": "row 1: no column known here among Domain",
    "wqx/WQXResultDetectionConditionRef.csv": "row 1: no column known here among Domain",
}


def test_no_file_is_left_out(open_data):
    found = {
        f"{folder}/{path.name}"
        for folder in ("water", "wqx")
        for path in (open_data / folder).iterdir()
    }
    assert found == set(ROWS) | set(NO_RESULTS)


@pytest.mark.parametrize("name", ROWS)
def test_totals_add_up(open_data, name):
    readings = read_results(open_data / name)
    (file,) = readings.files
    assert (file.layout, file.rows_read) == ROWS[name]
    parts = file.duplicate_rows + file.rejected_rows
    if file.layout == "wide":
        assert file.rows_read == len(readings.samples) + parts
        assert len(readings.duplicates) == file.duplicate_rows
    else:
        assert file.rows_read == (readings.status != ABSENT).sum() + parts
    lines = readings.rejected["cells"]
    assert lines.sum() == (readings.status == REJECTED).sum()
    assert (lines == 0).sum() == file.rejected_rows
    kinds = [(readings.status == kind).sum() for kind in (READ, BLANK, REJECTED, ABSENT)]
    assert sum(kinds) == readings.status.size
    assert kinds[0] > 0


@pytest.mark.parametrize("name", NO_RESULTS)
def test_file_without_results_is_one_clear_line(open_data, name):
    with pytest.raises(IntakeError, match=NO_RESULTS[name]) as caught:
        read_results(open_data / name)
    assert "\n" not in str(caught.value)


def test_all_at_once(open_data):
    readings = read_results([open_data / name for name in (*ROWS, *NO_RESULTS)])
    assert len(readings.files) == len(ROWS) + 1  # the limits stand beside results now
    assert sum(file.rows_read for file in readings.files) == sum(n for _, n in ROWS.values())
