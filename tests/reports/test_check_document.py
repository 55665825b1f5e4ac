"""What is said of samples: lines, sentences, the order of the worst, the ends of a page."""

import pytest

from chemcheck.assessment.check import check
from chemcheck.intake.read import read_results
from chemcheck.reports.check_document import Size, check_document
from chemcheck.reports.text import write_text

HEADER = (
    "Sample No,Unit,Date,Material,Technology,pH,Chloride (mg/L),Sulfate (mg/L),"
    "Hardness (mg/L as CaCO3),Sodium (mg/L),TDS (mg/L)\n"
)
FIT = "A1,tank,2025-04-03,water,,7.6,12,20,140,9,\n"
UNFIT = "A2,tank,2025-04-04,water,,7.6,85,20,140,,\n"
SPANNING = "A3,,,water,,7.6,20-60,20,140,,\n"
LACKING = "A4,,,water,,7.6,12,,140,,\n"
UNUSABLE = "A6,,,water,,7.6,12,20,140,,many\n"
ALL = Size(few=10, whole=10, listed=10)


@pytest.fixture
def document(tmp_path):
    """Give a document of rows."""

    def write(*rows: str, size: Size = ALL, **options):
        path = tmp_path / "log.csv"
        path.write_text(HEADER + "".join(rows), encoding="utf-8")
        return check_document(check(read_results(path), **options), size)

    return write


def lines_of(finding):
    return {line.quantity: line for line in finding.lines}


def flat(text: str) -> str:
    return " ".join(text.split())


def test_reading_bound_margin_and_source_of_a_result(document):
    [finding] = document(UNFIT, rule="simple").findings
    chloride = lines_of(finding)["chloride"]
    assert flat(chloride.reading).startswith("85 ± ")
    assert (chloride.unit, flat(chloride.bound), chloride.state) == (
        "mg/L",
        "at most 40",
        "outside",
    )
    assert flat(chloride.margin) == "45 beyond"
    assert "TM 5-3895-383-24, Table 15" in chloride.source
    assert chloride.source.endswith("(published)")
    assert finding.lines[0] is chloride


def test_both_bounds_of_a_range_are_shown(document):
    [finding] = document(FIT).findings
    ph = lines_of(finding)["pH"]
    assert (flat(ph.bound), ph.unit) == ("5.5 to 9", "")
    assert flat(ph.margin) == "1.4 left"


def test_what_no_bound_speaks_of_is_named_once(document):
    [finding] = document(FIT).findings
    assert "sodium" not in lines_of(finding)
    assert any("no bound for it: sodium 9" in flat(one) for one in finding.remarks)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (FIT, "This water may be mixed with coolant concentrate: every reading that was judged"),
        (UNFIT, "This water must not be mixed with coolant concentrate as it is: chloride 85 ± "),
        (SPANNING, "is not decided: chloride 20 to 60 mg/L (at most 40)."),
        (LACKING, "is not decided: no usable reading of sulfate."),
        (UNUSABLE, "is not decided: total dissolved solids could not be used and has a bound."),
    ],
)
def test_the_verdict_is_a_sentence(row, said, document):
    found = document(row)
    assert said in flat(found.sentence)
    assert found.findings[0].sentence == found.sentence


def test_what_to_do_about_an_open_result(document):
    [spanning] = document(SPANNING).findings
    assert any("Measure chloride by a more exact method" in one for one in spanning.to_do)
    [lacking] = document(LACKING).findings
    assert any("Have sulfate measured" in one for one in lacking.to_do)


def test_a_question_stands_beside_its_sample(document):
    found = document(FIT.replace("7.6", "3.9"), FIT.replace("A1", "A7"))
    asked = [finding for finding in found.findings if any("3.9" in one for one in finding.remarks)]
    assert [flat(finding.name).split(",")[0] for finding in asked] == ["A1"]


def test_why_it_matters_only_where_it_does(document):
    [unfit] = document(UNFIT).findings
    assert len(unfit.why) == 1
    assert "pitting" in unfit.why[0]
    assert document(FIT).findings[0].why == ()


def test_the_worst_come_first_and_what_is_cut_is_said(document):
    found = document(FIT, LACKING, UNFIT, FIT.replace("A1", "A5"), size=Size(1, 1, 3))
    assert [one.verdict for one in found.overview] == ["unfit", "undecided", "fit"]
    assert flat(found.findings[0].name) == "A2, source tank, 2025-04-04 (row 4)"
    assert found.cut == "Of 4 samples listed: the worst 3; told in full: the worst 1."
    assert flat(found.sentence) == "Of 4 samples: 1 unfit, 1 undecided, 2 fit."


def test_counts_are_sums(document):
    found = document(FIT, UNFIT, FIT)
    assert found.counts == (
        "3 rows read = 2 samples + 1 duplicate row + 0 rejected rows.",
        "12 cells read = 8 judged + 1 not judged + 3 blank + 0 rejected.",
    )


def test_the_end_of_a_page(document):
    found = document(LACKING)
    titles = [section.title for section in found.sections if section.items]
    assert titles[0] == "Limit sets and versions"
    assert titles[-1] == "Cautions"
    assert {"Decision rule", "Files", "Assumptions", "What was not known"} <= set(titles)
    by_title = {section.title: section.items for section in found.sections}
    assert "1 sample without a usable reading of sulfate." in by_title["What was not known"]
    assert "SHA-256 " in by_title["Limit sets and versions"][0]


def test_the_set_in_use_is_the_first_line(document):
    text = write_text(document(FIT, limits="inhibitor_water"))
    assert text.startswith("Judged against limit set inhibitor_water (version ")


def test_a_sample_that_no_set_judges(document):
    found = document(FIT, limits="coolant_in_service")
    assert found.in_use == "Judged against no limit set: none applies to these samples."
    assert found.sentence == "The sample was not judged, because no limit set applies to it."


def test_ordered_words_are_words(document, tmp_path):
    path = tmp_path / "coolant.csv"
    path.write_text(
        "Sample No,Material,Technology,pH,Glycol (vol%),Appearance\n"
        "C1,coolant,organic acid,8.2,48,opaque\n",
        encoding="utf-8",
    )
    found = check_document(check(read_results(path)), ALL)
    everything = flat(write_text(found))
    assert "opaque" in everything
