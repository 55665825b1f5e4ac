"""New coolant in text, CSV and JSON: the same three answers everywhere."""

import csv
import io
import json

import pandas as pd

from chemcheck.assessment.check import check
from chemcheck.reports.check_csv import write_check_csv
from chemcheck.reports.check_document import PAGE, check_document
from chemcheck.reports.check_json import write_check_json
from chemcheck.reports.received_words import received_section
from chemcheck.reports.text_layout import TIED
from tests.builders import readings

GOODS = {
    "ph:neat": [8.4, 8.4, 8.4, 8.4],
    "glycol:by_volume": [50.0, 50.0, 30.0, 50.0],
    "nitrite": [(0.0, 5.0), (0.0, 5.0), 900.0, (0.0, 5.0)],
    "ethylhexanoate": [18000.0, 17000.0, 17000.0, 17000.0],
}


def goods():
    return check(
        readings(
            GOODS,
            sample_id=["REF", "GOOD", "BAD", "BUS"],
            unit_id=pd.Series([None, None, None, "7"], dtype="str"),
            sample_type=["fresh fill", "premix", "bulk tank", "routine"],
            technology="organic_acid",
            glycol_type=None,
        )
    )


EXPECTED = [
    ("undecided", "inside", "not judged", []),
    ("inside", "inside", "not judged", ["REF"]),
    ("outside", "outside", "not judged", ["REF"]),
    None,
]


def test_csv_has_a_column_for_each_answer(tmp_path):
    write_check_csv(goods(), tmp_path)
    rows = list(csv.DictReader(io.StringIO((tmp_path / "verdicts.csv").read_text("utf-8"))))
    for row, expected in zip(rows, EXPECTED, strict=True):
        found = [row[name] for name in ("identity", "strength", "contamination", "reference")]
        assert found == (
            ["", "", "", ""] if expected is None else [*expected[:3], "; ".join(expected[3])]
        )


def test_json_has_an_object_for_new_coolant_alone():
    file = io.BytesIO()
    write_check_json(goods(), file)
    found = [sample["received"] for sample in json.loads(file.getvalue())["samples"]]
    for one, expected in zip(found, EXPECTED, strict=True):
        if expected is None:
            assert one is None
        else:
            assert tuple(one.values()) == expected


def test_a_check_without_new_coolant_says_nothing_of_it(tmp_path):
    bare = check(readings({"ph:neat": [8.4]}))
    file = io.BytesIO()
    write_check_json(bare, file)
    assert "received" not in json.loads(file.getvalue())["samples"][0]
    write_check_csv(bare, tmp_path)
    assert "identity" not in (tmp_path / "verdicts.csv").read_text("utf-8")
    assert received_section(bare, 0) is None


def test_a_page_says_it_and_names_the_reference_and_what_decided():
    document = check_document(goods(), PAGE)
    told = {
        one.name[:3]: next((part for part in one.parts if part.title == "New coolant"), None)
        for one in document.findings
    }
    assert told["GOO"].items == (
        "Held against the reference REF.",
        "Identity: inside.",
        "Strength: inside.",
        "Contamination: not judged.",
    )
    assert told["BAD"].items == (
        "Held against the reference REF.",
        "Identity: outside, by nitrite, nitrite in a coolant that holds none.",
        "Strength: outside, by glycol.",
        "Contamination: not judged.",
    )
    assert told["REF"].items[:2] == ("No reference.", "Identity: undecided.")
    assert told["BUS"] is None
    bad = document.findings[0]
    assert bad.name.startswith("BAD")
    assert "(85 % of reference)" in bad.sentence.replace(TIED, " ")
    assert "fill no unit from it" in bad.to_do[0]
