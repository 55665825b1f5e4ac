"""Detection limits in a file beside the results."""

import pytest

from chemcheck.errors import IntakeError
from chemcheck.intake.read import read_results
from chemcheck.readings.record import READ, REJECTED

RESULTS = (
    "ResultIdentifier,MonitoringLocationIdentifier,ActivityIdentifier,ActivityStartDate,"
    "CharacteristicName,ResultMeasureValue,ResultMeasure/MeasureUnitCode,"
    "ResultDetectionConditionText{}\n"
)
ROW = "{},S-1,A-{},2025-01-0{},Chloride,{},mg/l,{}{}\n"
LIMITS = (
    "ResultIdentifier,CharacteristicName,DetectionQuantitationLimitTypeName,"
    "DetectionQuantitationLimitMeasure/MeasureValue,"
    "DetectionQuantitationLimitMeasure/MeasureUnitCode\n"
    "R-1,Chloride,Method Detection Level,800,ug/l\nR-1,Chloride,Historical,2,mg/l\n"
    "R-3,Chloride,Method Detection Level,5,mg/l\nR-9,Chloride,Method Detection Level,7,mg/l\n"
)
BODY = [
    ("R-1", 1, 1, "", "Not Detected"),
    ("R-2", 2, 2, "40", ""),
    ("R-4", 3, 3, "", "Not Detected"),
]


def results(more="", cell="") -> str:
    return RESULTS.format(more) + "".join(ROW.format(*row, cell) for row in BODY)


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_limits_come_from_the_other_file(read_text_of, order):
    texts = (results(), LIMITS)
    readings = read_text_of(*(texts[k] for k in order))
    assert readings.status[:, 0].tolist() == [READ, READ, REJECTED]
    # The first limit stated counts, 800 ug/L.
    assert readings.upper[:, 0].tolist()[:2] == [0.8, 40]
    kinds = {file.layout: file for file in readings.files}
    assert set(kinds) == {"wqx", "wqx limits"}
    assert kinds["wqx limits"].rows_read == 0
    assert kinds["wqx limits"].found.endswith("3 detection limits of results, no results; 1 used")
    assert kinds["wqx"].rows_read == 3


def test_limit_of_the_results_own_comes_first(read_text_of):
    more = ",DetectionQuantitationLimitMeasure/MeasureValue"
    own = results(more, ",3")
    readings = read_text_of(own, LIMITS)
    assert readings.upper[:, 0].tolist() == [3, 40, 3]
    blank = read_text_of(results(more, ","), LIMITS)
    assert blank.status[:, 0].tolist() == [READ, READ, REJECTED]


def test_limits_alone_are_nothing_to_judge(open_data):
    with pytest.raises(IntakeError, match="detection limits without the results they are of"):
        read_results(open_data / "wqx" / "wqp_detection_limits.txt")


def test_limits_of_the_open_file_beside_results(open_data):
    folder = open_data / "wqx"
    readings = read_results([folder / "wqp_detection_limits.txt", folder / "wqp_results.txt"])
    assert [file.layout for file in readings.files] == ["wqx", "wqx limits"]
    assert "; 5 detection limits of results" in readings.files[1].found
