"""The next sample of each water source, in words and as JSON."""

import json
import re

import numpy as np

from chemcheck.assessment.water import water
from chemcheck.judging.water_source import source_outlook
from chemcheck.reports.check_document import TEXT
from chemcheck.reports.source_outlook import SOURCES_TOLD, source_records, source_words
from chemcheck.reports.water_document import water_document
from tests.readings.build import readings_of

QUARTERS = ["2031-01-10", "2031-04-10", "2031-07-10", "2031-10-10"]


def taps(sources=1, **more):
    names = [f"tap {k}" for k in range(sources) for _ in QUARTERS]
    samples = {"unit_id": names, "material": "water", "taken_on": QUARTERS * sources} | more
    values = np.tile([[20.0, 7.4], [31.0, 7.5], [55.0, 7.6], [24.0, 7.4]], (sources, 1))
    return readings_of(samples, ["chloride", "ph"], values)


def test_one_line_a_source_and_how():
    line, how = source_words(source_outlook(taps()), ("chloride",))
    # 55 (55/20)^0.335 = 77.2
    assert line == (
        "tap 0, 4 samples: chloride at most 77.2 mg/L (highest in July). Test again by 2032-01-10."
    )
    assert how.startswith("Each bound holds the next sample with a chance of 90 %")


def test_many_sources_are_counted():
    lines = source_words(source_outlook(taps(SOURCES_TOLD + 3)), ("chloride",))
    assert lines[-2] == "3 more sources: see the JSON document."
    assert source_words(source_outlook(taps()), ()) == ()


def test_records_are_json():
    readings = taps()
    [record, _] = source_records(source_outlook(readings))
    assert json.loads(json.dumps(record)) == record
    assert record["first"] == "2031-01-10"
    assert record["basis"] is None
    [undated, _] = source_records(source_outlook(taps(taken_on=[None] * 4)))
    assert undated["test_again"] is None


def test_the_water_page_tells_it_before_the_limit_sets():
    document = water_document(water(taps()), TEXT)
    section = document.sections[0]
    assert section.title == "The next sample of each source"
    assert re.match(r"tap 0, 4 samples: chloride at most 77\.2 mg/L", section.items[0])
