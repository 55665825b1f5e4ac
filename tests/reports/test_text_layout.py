"""Text in 80 columns."""

from hypothesis import given
from hypothesis import strategies as st

from chemcheck.reports.text_layout import TIED, WIDTH, display_width, paragraph, table

ROW = [
    "chloride",
    "85 mg/L",
    "at most 40",
    "a maker's manual for machines, table of water for mixing, and a source with a long name",
]


def test_words_wrap_and_numbers_do_not():
    text = table(["analyte", "reading", "bound", "source"], [ROW], numeric=[1, 2])
    lines = text.splitlines()
    assert max(map(len, lines)) <= WIDTH
    assert lines[2].startswith("chloride  85 mg/L  at most 40  a maker's manual")
    assert lines[3].startswith(" " * 31)
    assert " ".join(" ".join(lines[2:]).split()) == " ".join(ROW)


def test_a_tied_space_holds_a_number_to_its_unit():
    text = paragraph(("x" * 74) + f" 310{TIED}mg/L")
    assert text.splitlines()[1] == "310 mg/L"


def test_a_number_keeps_its_unit_without_being_told():
    text = paragraph(("x" * 74) + " 310 mg/L as CaCO3, 50 % of it")
    assert text.splitlines()[1] == "310 mg/L as CaCO3, 50 % of it"


def test_ties_are_let_go_before_a_row_is_wider_than_the_page():
    bound = f"at{TIED}least{TIED}16726{TIED}(80{TIED}%{TIED}of{TIED}fresh)"
    text = table(["what", "bound", "margin", "state"], [["w" * 20, bound, bound, bound]])
    lines = text.splitlines()
    assert max(map(len, lines)) <= WIDTH
    assert not [line for line in lines if line.rstrip().endswith("(80")]


def test_a_word_longer_than_a_column_is_cut_and_none_of_it_lost():
    text = table(["sample", "verdict"], [["x" * 10_000, "fit"], ["A", "unfit"]])
    assert max(map(len, text.splitlines())) <= WIDTH
    assert text.count("x") == 10_000


def test_an_escape_is_measured_as_it_is_written():
    rows = [["\u202eevil\u202c", "fit"], ["A", "unfit"]]
    lines = table(["sample", "verdict"], rows).splitlines()
    assert lines[2] == "\\u202eevil\\u202c  fit"
    assert lines[3] == "A                 unfit"


def test_a_short_row_is_filled():
    assert table(["a", "b"], [["1"]]).splitlines()[2] == "1"


def test_wide_letters_count_twice():
    lines = table(["site", "pH"], [["水道", "7.6"], ["well", "8.1"]], numeric=[1]).splitlines()
    assert [display_width(line) for line in lines[2:]] == [9, 9]


@given(
    st.lists(
        st.lists(
            st.text(st.characters(categories=["L", "N"]), max_size=12), min_size=3, max_size=3
        ),
        max_size=4,
    )
)
def test_no_word_is_lost_or_cut(rows):
    text = table(["one", "two", "three"], rows)
    found = text.split()
    for word in (word for row in rows for cell in row for word in cell.split()):
        assert word in found
