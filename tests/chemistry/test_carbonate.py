"""What must hold for every water: conservation, order, a clear word where there is no answer."""

import warnings

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.chemistry import carbonate
from chemcheck.chemistry.molalities import molalities
from chemcheck.chemistry.saturation import saturation_index
from chemcheck.chemistry.species import FREE, PAIRS, PARTNERS
from chemcheck.chemistry.waters import Totals, totals_per_kilogram
from chemcheck.errors import (
    ConvergenceWarning,
    ExtrapolationWarning,
    OutsideValidityWarning,
)
from tests.chemistry.conftest import ComparedWaters

WATER = dict(
    ph=7.6,
    alkalinity=120.0,
    calcium=60.0,
    magnesium=12.0,
    sodium=20.0,
    potassium=3.0,
    chloride=40.0,
    sulfate=50.0,
)

analyses = st.fixed_dictionaries(
    {
        "ph": st.floats(5.8, 9.4),
        "alkalinity": st.floats(5.0, 400.0),
        "calcium": st.floats(0.1, 400.0),
        "magnesium": st.floats(0.0, 300.0),
        "sodium": st.floats(0.0, 1500.0),
        "potassium": st.floats(0.0, 100.0),
        "chloride": st.floats(0.0, 2000.0),
        "sulfate": st.floats(0.0, 1500.0),
        "temperature": st.floats(2.0, 30.0),
    }
)


class TestAlkalinity:
    """Store totals: pairing of ions must not move the alkalinity (a known trap of other code)."""

    @given(analyses)
    @settings(max_examples=60)
    def test_species_add_up_to_it(self, water: dict[str, float]) -> None:
        sampled = carbonate.speciate(**water)
        moles = molalities(sampled)
        total = sum(
            (2 * s.carbonate - s.hydrogen) * moles[s.name] for s in FREE + PAIRS if s.name in moles
        )
        assert total == pytest.approx(sampled.totals.alkalinity, rel=1e-6, abs=1e-12)

    @given(analyses)
    @settings(max_examples=60)
    def test_every_total_adds_up(self, water: dict[str, float]) -> None:
        sampled = carbonate.speciate(**water)
        moles = molalities(sampled)
        for partner in PARTNERS:
            names = [s.name for s in (partner, *PAIRS) if s.partner == partner.partner]
            total = sum(moles[name] for name in names)
            expected = getattr(sampled.totals, partner.partner)
            assert total == pytest.approx(expected, rel=1e-6, abs=1e-15)
        for amount, total_name in (("carbonate", "carbonate"), ("sulfate", "sulfate")):
            total = sum(getattr(s, amount) * moles[s.name] for s in FREE + PAIRS)
            expected = getattr(sampled.totals, total_name)
            assert total == pytest.approx(expected, rel=1e-6, abs=1e-15)

    def test_pairs_left_out_do_not_move_it(self) -> None:
        totals = totals_per_kilogram(*(list(WATER.values())[1:]))
        bare = carbonate.FULL.without([s.name for s in PAIRS])
        with_pairs = carbonate.speciate_totals(totals, WATER["ph"])
        without = carbonate.speciate_totals(totals, WATER["ph"], tableau=bare)
        assert with_pairs.totals.alkalinity == without.totals.alkalinity
        assert with_pairs.totals.carbonate != without.totals.carbonate


class TestHeating:
    @given(analyses, st.floats(0.0, 100.0))
    @settings(max_examples=60)
    def test_totals_are_conserved(self, water: dict[str, float], temperature: float) -> None:
        sampled = carbonate.speciate(**water)
        hot = carbonate.heat(sampled, temperature)
        moles = molalities(hot)
        total = sum(s.carbonate * moles[s.name] for s in FREE + PAIRS)
        assert total == pytest.approx(sampled.totals.carbonate, rel=1e-6)
        total = sum((2 * s.carbonate - s.hydrogen) * moles[s.name] for s in FREE + PAIRS)
        assert total == pytest.approx(sampled.totals.alkalinity, rel=1e-6, abs=1e-10)
        for name in ("calcium", "magnesium", "alkalinity", "carbonate"):
            assert getattr(hot.totals, name) == getattr(sampled.totals, name)

    def test_there_and_back(self) -> None:
        sampled = carbonate.speciate(**WATER)
        back = carbonate.heat(carbonate.heat(sampled, 90.0), 25.0)
        assert back.ph == pytest.approx(WATER["ph"], abs=1e-6)

    def test_same_as_from_totals_alone(self, compared: ComparedWaters) -> None:
        sampled = carbonate.speciate_totals(compared.totals, compared.ph)
        heated = carbonate.heat(sampled, 60.0)
        alone = carbonate.equilibrate(sampled.totals, 60.0)
        assert heated.ph == pytest.approx(alone.ph, abs=1e-6)

    def test_unknown_stays_unknown(self) -> None:
        sampled = carbonate.speciate(**{**WATER, "calcium": [60.0, np.nan]})
        hot = carbonate.heat(sampled, 90.0)
        assert np.isnan(hot.ph).tolist() == [False, True]

    def test_beyond_100_is_named(self) -> None:
        sampled = carbonate.speciate(**WATER)
        with pytest.warns(ExtrapolationWarning, match="beyond 100 deg C for 1 waters"):
            film = carbonate.heat(sampled, 110.0)
        assert film.extrapolated
        assert not carbonate.heat(sampled, 100.0).extrapolated

    def test_beyond_130_is_empty(self) -> None:
        sampled = carbonate.speciate(**WATER)
        with pytest.warns(OutsideValidityWarning, match="outside 0 to 130 deg C"):
            assert np.isnan(carbonate.heat(sampled, 131.0).ph)

    def test_one_water_at_many_temperatures(self) -> None:
        sampled = carbonate.speciate(**WATER)
        many = carbonate.heat(sampled, [10.0, 60.0, 90.0])
        assert many.ph.shape == (3,)
        assert many.ph[2] == pytest.approx(float(carbonate.heat(sampled, 90.0).ph), abs=1e-6)


class TestOrder:
    @given(analyses, st.floats(1.01, 3.0))
    @settings(max_examples=60)
    def test_calcium_raises_saturation(self, water: dict[str, float], factor: float) -> None:
        """At fixed pH, alkalinity and other totals."""
        low = totals_per_kilogram(
            **{name: value for name, value in water.items() if name not in ("ph", "temperature")}
        )
        high = Totals(
            **{
                name: getattr(low, name) * (factor if name == "calcium" else 1.0)
                for name in Totals.__dataclass_fields__
            }
        )
        pair = [
            saturation_index(
                carbonate.speciate_totals(totals, water["ph"], water["temperature"]), "calcite"
            )
            for totals in (low, high)
        ]
        assert pair[1] > pair[0]

    def test_open_to_air_takes_up_or_gives_off(self) -> None:
        """A water richer in carbon dioxide than air loses it, and its pH rises."""
        sampled = carbonate.speciate(**WATER)
        aired = carbonate.open_to_air(sampled)
        assert aired.totals.carbonate < sampled.totals.carbonate
        assert aired.ph > sampled.ph
        assert aired.totals.alkalinity == sampled.totals.alkalinity

    def test_rain_in_air(self) -> None:
        """Pure water in air of 350 ppm: pH 5.65 (Stumm and Morgan; memory)."""
        pure = totals_per_kilogram(*[0.0] * 7)
        aired = carbonate.open_to_air(pure, 25.0, 3.5e-4)
        assert aired.ph == pytest.approx(5.65, abs=0.02)


class TestBlend:
    @given(analyses, analyses, st.floats(0.0, 1.0))
    @settings(max_examples=40)
    def test_mass_is_conserved(
        self, one: dict[str, float], other: dict[str, float], share: float
    ) -> None:
        first, second = (carbonate.speciate(**water).totals for water in (one, other))
        mixed = carbonate.blend([first, second], [share, 1.0 - share])
        for name in Totals.__dataclass_fields__:
            expected = share * getattr(first, name) + (1.0 - share) * getattr(second, name)
            assert getattr(mixed, name) == pytest.approx(expected, rel=1e-12, abs=1e-18)

    def test_shares_of_columns(self) -> None:
        hard = carbonate.speciate(**WATER).totals
        pure = totals_per_kilogram(*[0.0] * 7)
        pure = carbonate.open_to_air(pure).totals
        mixed = carbonate.blend([hard, pure], np.array([[1.0, 3.0], [1.0, 1.0]]))
        assert mixed.calcium == pytest.approx(hard.calcium * np.array([0.5, 0.75]))
        assert carbonate.equilibrate(mixed).ph.shape == (2,)

    def test_unknown_amount_of_an_unused_water_does_not_matter(self) -> None:
        hard = carbonate.speciate(**WATER).totals
        unknown = totals_per_kilogram(*[np.nan] * 7)
        assert carbonate.blend([hard, unknown], [1.0, 0.0]).calcium == hard.calcium
        assert np.isnan(carbonate.blend([hard, unknown], [0.9, 0.1]).calcium)

    @pytest.mark.parametrize(
        ("count", "shares", "message"),
        [
            (0, [], "0 waters but 0 shares"),
            (1, [0.5, 0.5], "1 waters but 2 shares"),
            (2, [-0.1, 1.1], "shares must not be negative"),
            (2, [0.0, 0.0], "one must be above zero"),
        ],
    )
    def test_bad_shares(self, count: int, shares: list[float], message: str) -> None:
        hard = carbonate.speciate(**WATER).totals
        with pytest.raises(ValueError, match=message):
            carbonate.blend([hard] * count, shares)


class TestNoAnswer:
    def test_alkalinity_impossible_at_the_ph(self) -> None:
        """PH 11 means 1 meq/L of hydroxide, 50 mg/L as CaCO3: 10 cannot be."""
        with pytest.warns(OutsideValidityWarning, match="1 of 2 waters .* impossible at the pH"):
            found = carbonate.speciate(**{**WATER, "ph": 11.0, "alkalinity": [10.0, 120.0]})
        assert found.impossible.tolist() == [True, False]
        assert found.converged.tolist() == [False, True]
        assert np.isnan(found.totals.carbonate[0])

    def test_seawater_is_out_of_range(self) -> None:
        """Ionic strength 0.7 mol/kg: the activity model ends at 0.5."""
        with pytest.warns(OutsideValidityWarning, match="ionic strength above 0.5"):
            found = carbonate.speciate(8.1, 115.0, 422.0, 1316.0, 11050.0, 409.0, 19830.0, 2779.0)
        assert np.isnan(found.ph)
        assert not found.converged

    def test_negative_amount(self) -> None:
        with pytest.warns(OutsideValidityWarning, match="1 of 1 waters left empty: negative"):
            assert np.isnan(carbonate.speciate(**{**WATER, "sodium": -1.0}).ph)

    def test_missing_is_silent_and_empty(self) -> None:
        for name in WATER:
            found = carbonate.speciate(**{**WATER, name: np.nan})
            assert np.isnan(found.ionic_strength)
            assert not found.converged

    def test_not_converged_is_said(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("chemcheck.chemistry.newton.MAX_ITERATIONS", 1)
        monkeypatch.setattr("chemcheck.chemistry.newton.MAX_ROUGH_ITERATIONS", 0)
        with pytest.warns(ConvergenceWarning, match="1 of 1 waters did not converge"):
            found = carbonate.speciate(**WATER)
        assert not found.converged
        assert np.isnan(found.ph)


class TestAbsence:
    def test_no_calcium_no_sulfate(self) -> None:
        found = carbonate.speciate(**{**WATER, "calcium": 0.0, "sulfate": 0.0})
        assert np.isneginf(saturation_index(found, "calcite"))
        assert np.isneginf(saturation_index(found, "gypsum"))
        hot = carbonate.heat(found, 90.0)
        assert np.isfinite(hot.ph)

    def test_pure_water_is_neutral(self) -> None:
        """PH 7.0 at 25 deg C, 6.2 at 90 (half of pKw)."""
        pure = totals_per_kilogram(*[0.0] * 7)
        nothing = Totals(
            **{
                name: getattr(pure, name) if name != "carbonate" else np.array(0.0)
                for name in Totals.__dataclass_fields__
            }
        )
        found = carbonate.equilibrate(nothing, [25.0, 90.0])
        assert found.ph == pytest.approx([7.00, 6.20], abs=0.01)

    def test_silica_takes_part_in_alkalinity(self) -> None:
        """H3SiO4- is half of it at pH 9.83 (pK of phreeqc.dat): less is left for carbonate."""
        alkaline = {**WATER, "ph": 9.5}
        with_silica = carbonate.speciate(**alkaline, silica=60.0)
        without = carbonate.speciate(**alkaline)
        assert with_silica.totals.carbonate < without.totals.carbonate
        assert np.isfinite(with_silica.log_silica)
        assert np.isneginf(without.log_silica)


def test_same_numbers_from_float_list_and_series() -> None:
    one = carbonate.speciate(**WATER)
    many = carbonate.speciate(**{name: [value] for name, value in WATER.items()})
    table = carbonate.speciate(**{name: pd.Series([value]) for name, value in WATER.items()})
    assert one.ph.shape == ()
    assert many.log_calcium[0] == one.log_calcium
    assert table.log_calcium[0] == one.log_calcium


def test_no_warning_for_ordinary_waters(compared: ComparedWaters) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert carbonate.speciate_totals(compared.totals, compared.ph).converged.all()
