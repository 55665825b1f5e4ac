"""Class words: every band from its source, every edge on the side the source puts it."""

import pytest

from chemcheck.chemistry.index_classes import INDEX_CLASSES, chloride_sulfate_class, index_class


@pytest.mark.parametrize("name", sorted(INDEX_CLASSES))
def test_every_index_has_words_edges_and_a_source(name: str) -> None:
    classes = INDEX_CLASSES[name]
    assert len(classes.words) == len(classes.edges) + 1
    assert list(classes.edges) == sorted(classes.edges)
    assert classes.source
    assert classes.evidence in {"published", "library", "common practice", "memory"}
    assert len(classes.edge_belongs) == len(classes.edges)
    assert set(classes.edge_belongs) <= {"above", "below"}


def test_puckorius_examples() -> None:
    """UFC 3-240-13FN appendix B: below 6 scale, above 6 none."""
    assert index_class("puckorius_index", [5.9, 6.1]).tolist() == ["scale", "no scale"]


def test_ryznar_bands() -> None:
    """Textbook chapter 8: below 6 scale rises, above 7 no film, above 8 steel corrodes more."""
    words = index_class("ryznar_index", [5.5, 6.5, 7.5, 8.5]).tolist()
    assert words[:3] == ["scale rises", "", "no protective film"]
    assert "mild steel" in words[3]


def test_larson_skold_bands() -> None:
    """Roberge 2006 (second-hand): below 0.8 unlikely, to 1.2 possible, above accelerated."""
    words = index_class("larson_skold", [0.5, 1.0, 2.99]).tolist()
    assert [word.split()[-1] for word in words] == ["unlikely", "possible", "sulfate"]


def test_edges_belong_to_the_middle_band() -> None:
    """USGS wording: corrosive below -0.5, scaling above +0.5, indeterminate between."""
    words = index_class("langelier_index", [-0.5, 0.5, -0.51, 0.51]).tolist()
    assert words == ["indeterminate", "indeterminate", "potentially corrosive", "scaling"]


def test_unknown_index_has_no_words() -> None:
    with pytest.raises(KeyError, match="gypsum_si"):
        index_class("gypsum_si", 1.0)


def test_chloride_sulfate_class_needs_both() -> None:
    assert chloride_sulfate_class([float("nan"), 1.0], [50.0, float("nan")]).tolist() == ["", ""]
