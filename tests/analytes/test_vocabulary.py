"""The vocabulary as a whole: complete, unambiguous, consistent."""

from pathlib import Path

import pytest

from chemcheck.analytes import (
    MATERIALS,
    find_analyte,
    load_vocabulary,
    plain_name,
    read_name,
    read_unit,
    to_canonical,
    vocabulary,
)
from chemcheck.errors import LimitFileError

KEYS = list(vocabulary())

NEEDED = {
    "ph",
    "total_hardness",
    "calcium_hardness",
    "magnesium_hardness",
    "total_alkalinity",
    "chloride",
    "sulfate",
    "nitrate",
    "nitrite",
    "fluoride",
    "phosphate",
    "silicon",
    "boron",
    "molybdenum",
    "bicarbonate",
    "carbonate",
    "calcium",
    "magnesium",
    "sodium",
    "potassium",
    "ammonium",
    "iron",
    "copper",
    "aluminium",
    "lead",
    "zinc",
    "tin",
    "manganese",
    "conductivity",
    "total_dissolved_solids",
    "turbidity",
    "reserve_alkalinity",
    "glycol",
    "coolant_concentrate",
    "freezing_point",
    "boiling_point",
    "relative_density",
    "refractive_index",
    "brix",
    "glycolate",
    "lactate",
    "formate",
    "acetate",
    "oxalate",
    "ethylhexanoate",
    "sebacate",
    "benzoate",
    "carboxylates",
    "tolyltriazole",
    "benzotriazole",
    "mercaptobenzothiazole",
    "azoles",
    "coolant_voltage",
    "appearance",
    "odour",
    "sediment",
    "oil",
    "foam",
    "water_temperature",
    "cap_rating",
    "cap_release_pressure",
    "system_pressure_rating",
    "system_pressure_held",
    "fan_tip_play",
}


def test_everything_needed_is_there() -> None:
    assert set(KEYS) >= NEEDED
    assert len(KEYS) >= 50


@pytest.mark.parametrize("key", KEYS)
def test_every_analyte_is_consistent(key: str) -> None:
    known = vocabulary()[key]
    assert key == known.key
    assert key.replace("_", "").isalnum()
    assert key == key.lower()
    low, high = known.possible
    for material in MATERIALS:
        # Either a usual unit, or the choices between which practice is split.
        assert known.unit == "rank" or material in known.usual_unit or known.choices
        if known.unit != "rank":
            usual = known.usual[material]
            assert low <= usual[0] < usual[1] <= high
    for unit in (known.unit, *known.usual_unit.values(), *known.choices):
        assert to_canonical(key, unit, density=1.0).factor > 0
    for forms in known.split_names.values():
        assert set(forms) <= set(known.forms)


@pytest.mark.parametrize("key", KEYS)
def test_lookup_is_idempotent_for_every_name(key: str) -> None:
    known = vocabulary()[key]
    for name in (key, known.title, *known.aliases):
        assert find_analyte(name) == key
        assert find_analyte(f" {name.upper().replace(' ', '_')} ") == key
        found = read_name(name)
        assert found is not None
        assert find_analyte(found.analyte) == key


def test_no_name_is_claimed_twice() -> None:
    claimed: dict[str, str] = {}
    for key, known in vocabulary().items():
        for name in {plain_name(name) for name in (key, *known.aliases)}:
            assert claimed.setdefault(name, key) == key


@pytest.mark.parametrize("key", KEYS)
def test_words_are_ordered_without_doubles(key: str) -> None:
    words = [plain_name(word) for rank in vocabulary()[key].words for word in rank]
    assert len(words) == len(set(words))
    assert bool(words) == (vocabulary()[key].unit == "rank")


@pytest.mark.parametrize("key", KEYS)
def test_every_form_can_be_said_in_the_unit(key: str) -> None:
    known = vocabulary()[key]
    if known.dimension not in ("mass concentration", "as calcium carbonate"):
        return
    for form, factor in known.forms.items():
        assert to_canonical(key, "mg/L", form=form).factor == pytest.approx(factor, rel=1e-12)
        assert read_unit(key, f"ug/L as {form}").unit.symbol in ("ug/L", "ug/L as CaCO3")
        assert to_canonical(key, f"g/L as {form}").factor == pytest.approx(1000 * factor, rel=1e-9)


A = "a: {title: alpha, aliases: [x]}\n"


@pytest.mark.parametrize(
    ("text", "match"),
    [
        (A + "b: {title: beta, aliases: [X.]}\n", r"words\.yaml, b: the name 'X\.' is a's"),
        (A + "b: {title: a}\n", "b: the name 'a' is a's already"),
        ("a: {titel: alpha}\n", "a: 'titel' is no field known here; nearest: title"),
        ("a: {title: 5}\n", r"a\.title: expected a text"),
        ("a: {title: alpha, aliases: [no]}\n", r"a\.aliases: False is no text.*quotes"),
        ("a: {title: alpha, unit: mgs}\n", r"a\.unit: 'mgs' is no unit"),
        ("a: {title: alpha, formula: Xx}\n", r"a\.formula: 'Xx' is no element"),
        ("a: {title: alpha, possible: [1]}\n", r"a\.possible: expected \[lowest, highest\]"),
        ("a: {title: alpha, possible: [2, 1]}\n", r"a\.possible: expected the lower number"),
        ("a: {title: alpha, usual: {oil: [0, 1]}}\n", r"a\.usual: 'oil' is no field"),
        ("a: {title: alpha, formula: NO3, forms: {N: {mole: 1}}}\n", r"a\.forms\.N: 'mole'"),
        ("a: {title: alpha, bases: {x: {titel: x}}}\n", r"a\.bases\.x: 'titel' is no field"),
        ("a: {title: alpha, formula: NO3, forms: {N: {}}}\n", r"a\.forms\.N: moles is missing"),
        ("a: {title: alpha, bases: {x: {}}}\n", r"a\.bases\.x: title is missing"),
        ("a: 5\n", "a: expected a mapping"),
    ],
)
def test_a_wrong_file_names_file_and_key(tmp_path: Path, text: str, match: str) -> None:
    path = tmp_path / "words.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(LimitFileError, match=match):
        load_vocabulary([path])


def test_one_key_in_two_files_is_refused(tmp_path: Path) -> None:
    paths = [tmp_path / "1.yaml", tmp_path / "2.yaml"]
    for path in paths:
        path.write_text(A, encoding="utf-8")
    with pytest.raises(LimitFileError, match=r"2\.yaml, a: this analyte is defined already"):
        load_vocabulary(paths)
