"""All that weighing causes needs besides the readings of a stretch, worked out once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.causes.moves import SharedMoves, shared_moves
from chemcheck.causes.reference_readings import ReferenceReadings
from chemcheck.causes.references import ReferenceRows
from chemcheck.causes.tap_water import TapWater
from chemcheck.limit_library.ageing import ageing
from chemcheck.limit_library.cause_records import DERIVED, Feature, Signature
from chemcheck.limit_library.fresh_coolant import fresh_coolant
from chemcheck.limit_library.settings import check_file_node, check_settings
from chemcheck.readings.record import Readings

Singles = npt.NDArray[np.float32]

# What a derived quantity is worked out of: one reading of each group must be there.
NEEDS: Mapping[str, tuple[tuple[str, ...], ...]] = {
    "freezing_point_gap": (("freezing_point",), ("glycol", "coolant_concentrate")),
    "cap_share": (("cap_release_pressure",), ("cap_rating",)),
    "nitrite_and_molybdate": (("nitrite",), ("molybdenum",)),
}
# What stands for what is not known: so large that it decides nothing, and finite.
UNKNOWN = np.float32(1e30)
# No move is known better than this share of the least size of a cause.
_SHARPEST = 0.1
_ALKALINITY = ("ph", "reserve_alkalinity")


@dataclass(frozen=True, slots=True)
class Settings:
    """The numbers of ``limits/checks/causes.yaml``; see there."""

    in_unit: float
    in_unit_strength: float
    in_unit_ph: float
    told_from_nothing: float
    tap_water_varies: float
    factor_of_one: float
    told_from: float
    raised_from: float
    supported_from: float


@dataclass(frozen=True, slots=True)
class QuantityFeatures:
    """Features that look at the same quantity in the same way.

    Parameters
    ----------
    features : ndarray of int, shape (k,)
        Their positions.
    first : Feature
        One of them: what it looks at, they all do.
    slope, turns, soft : ndarray of float32, shape (k,)
        Straight lines: a quantity q of variance v says ``slope (q - turns) / (v + soft)``.
    weight, against : ndarray of float32, shape (k,)
        Where the lines end.
    """

    features: npt.NDArray[np.intp]
    first: Feature
    slope: Singles
    turns: Singles
    soft: Singles
    weight: Singles
    against: Singles


@dataclass(frozen=True, slots=True)
class Fingerprint:
    """What fresh fills of one technology hold of the species that tell coolants apart.

    Parameters
    ----------
    technology_code : int
        Position among the technologies stated; -2 where no sample states it.
    ranges : mapping of str to (float, float)
        By analyte, at 50 vol% [canonical unit].
    """

    technology_code: int
    ranges: Mapping[str, tuple[float, float]]


@dataclass(frozen=True)
class Plan:
    """What is weighed, and where it stands.

    Parameters
    ----------
    readings, references
        Of all samples.
    tap_water : TapWater
        What units were topped up with.
    uncertainty : ndarray of float32, shape (n_samples, n_columns)
        Standard uncertainty of the methods [canonical unit].
    causes : tuple of Signature
        All signatures.
    features : tuple of Feature
        Of all causes, one cause after the other, those that anything read can speak of.
    of_cause : tuple of slice
        Which features are whose.
    column : mapping of str to int
        Where the readings of each analyte stand.
    quantities : tuple of QuantityFeatures
        The same features by what they look at.
    keys : tuple of ndarray of int
        By cause, the features that bring it up.
    once : tuple of ndarray of int
        Features of a cause of which only the one that says most counts.
    moves : SharedMoves
        What causes explain of each other's evidence.
    applies : ndarray of bool, shape (n_features, n_technologies + 1)
        Whether a feature is looked at in a technology; the last is that of the unknown.
    cause_applies : ndarray of bool, shape (n_causes, n_technologies + 1)
        The same of causes.
    glycol_applies : ndarray of bool, shape (n_causes, n_glycols + 1)
        The same by glycol.
    ranges : mapping of str to ndarray, shape (2, n_technologies + 1)
        Ends of what fresh fills of each technology hold, by analyte.
    conservative, fingerprint, contaminants : tuple of str
        Analytes read that only water moves, that tell coolants apart, and that gather in use.
    alkalinity : tuple of str
        pH and reserve alkalinity, so far as read: they tell coolants apart too.
    fingerprints : tuple of Fingerprint
        Of each technology.
    settings : Settings
        The numbers of the file.
    weighed : dict of int to ndarray, shape (n_features,)
        Evidence of samples that were weighed together beforehand.
    """

    readings: Readings
    references: ReferenceRows
    tap_water: TapWater
    uncertainty: npt.NDArray[np.float32]
    causes: tuple[Signature, ...]
    features: tuple[Feature, ...]
    of_cause: tuple[slice, ...]
    column: Mapping[str, int]
    quantities: tuple[QuantityFeatures, ...]
    keys: tuple[npt.NDArray[np.intp], ...]
    once: tuple[npt.NDArray[np.intp], ...]
    moves: SharedMoves
    applies: npt.NDArray[np.bool_]
    cause_applies: npt.NDArray[np.bool_]
    glycol_applies: npt.NDArray[np.bool_]
    ranges: Mapping[str, Singles]
    conservative: tuple[str, ...]
    fingerprint: tuple[str, ...]
    contaminants: tuple[str, ...]
    alkalinity: tuple[str, ...]
    fingerprints: tuple[Fingerprint, ...]
    settings: Settings
    weighed: dict[int, Singles] = field(default_factory=dict, repr=False)

    @cached_property
    def reference_readings(self) -> ReferenceReadings:
        """Readings of all rows that others are held against."""
        return ReferenceReadings(self.readings, self.references, self.uncertainty)


def make_plan(
    readings: Readings,
    references: ReferenceRows,
    uncertainty: npt.NDArray[np.float32],
    causes: Sequence[Signature],
    tap_water: TapWater,
) -> Plan:
    """Work out what can be weighed in some readings.

    Parameters
    ----------
    readings, references
        All samples.
    uncertainty : ndarray of float32, shape (n_samples, n_columns)
        Standard uncertainty of the methods [canonical unit].
    causes : sequence of Signature
        What may have happened.
    tap_water : TapWater
        What units were topped up with.
    """
    column = _columns(readings)
    features: list[Feature] = []
    of_cause: list[slice] = []
    conservative, fingerprint = (_read(name, column) for name in ("conservative", "fingerprint"))
    for cause in causes:
        start = len(features)
        features += [
            one for one in cause.features if _readable(one, column, conservative, tap_water)
        ]
        of_cause.append(slice(start, len(features)))
    names = (*references.technologies, None)
    return Plan(
        readings=readings,
        references=references,
        tap_water=tap_water,
        uncertainty=uncertainty,
        causes=tuple(causes),
        features=tuple(features),
        of_cause=tuple(of_cause),
        column=column,
        quantities=_quantities(features),
        keys=tuple(
            np.array(
                [k for k in range(w.start, w.stop) if features[k].key],
                dtype=np.intp,
            )
            for w in of_cause
        ),
        once=_counted_once(features, of_cause),
        moves=shared_moves(causes, features, of_cause),
        applies=np.array(
            [[not one.technologies or t in one.technologies for t in names] for one in features],
            dtype=np.bool_,
        ).reshape(len(features), len(names)),
        cause_applies=np.array(
            [[not one.technologies or t in one.technologies for t in names] for one in causes]
        ),
        glycol_applies=np.array(
            [
                [not one.glycols or g in one.glycols for g in references.glycols] + [True]
                for one in causes
            ]
        ),
        ranges={key: _fresh_range(key, names) for key in column},
        conservative=conservative,
        fingerprint=fingerprint,
        contaminants=tuple(
            key for key in (*ageing().may_hold, *ageing().may_gain) if key in column
        ),
        alkalinity=tuple(key for key in _ALKALINITY if key in column),
        fingerprints=_fingerprints((*fingerprint, *_ALKALINITY), references.technologies),
        settings=cause_settings(),
    )


def cause_settings() -> Settings:
    """Return the numbers that causes are weighed by.

    Examples
    --------
    >>> cause_settings().raised_from
    2.0
    """
    read = check_settings("causes")
    return Settings(**{name: read[name].value for name in Settings.__dataclass_fields__})


def named_species(name: str) -> tuple[str, ...]:
    """Return the analytes of a list of ``limits/checks/causes.yaml``.

    Examples
    --------
    >>> named_species("conservative")[0]
    'glycol'
    """
    node = check_file_node("causes").mapping()[name]
    return tuple(entry.one_of(vocabulary(), "analyte") for entry in node.entries())


def read_of(feature: Feature) -> tuple[str, ...]:
    """Return the analytes that a feature looks at, as far as it is not worked out of several."""
    return (feature.of,) if feature.to is None else (feature.of, feature.to)


def _fingerprints(species: Sequence[str], stated: Sequence[str]) -> tuple[Fingerprint, ...]:
    known = fresh_coolant()
    found = []
    for name, ranges in known.ranges.items():
        code = stated.index(name) if name in stated else -2
        found.append(Fingerprint(code, {key: ranges[key] for key in species if key in ranges}))
    return tuple(found)


def _read(name: str, column: Mapping[str, int]) -> tuple[str, ...]:
    return tuple(key for key in named_species(name) if key in column)


def _columns(readings: Readings) -> dict[str, int]:
    """Return the column of each analyte; shares by mass stand apart."""
    column: dict[str, int] = {}
    for place, each in enumerate(readings.columns):
        if each.basis != "by_mass":
            column.setdefault(each.analyte, place)
    return column


def _readable(
    feature: Feature,
    column: Mapping[str, int],
    conservative: tuple[str, ...],
    tap_water: TapWater,
) -> bool:
    if feature.of_tap_water and not all(key in tap_water.ends for key in read_of(feature)):
        return False
    if feature.of_tap_water and feature.look == "level":
        return True
    if feature.of in NEEDS:
        return all(any(key in column for key in group) for group in NEEDS[feature.of])
    if feature.of in DERIVED:
        return bool(conservative)
    return feature.of in column and (feature.to is None or feature.to in column)


def _quantities(features: Sequence[Feature]) -> tuple[QuantityFeatures, ...]:
    """Put features together that look at the same quantity from the same side."""
    kinds: dict[object, list[int]] = {}
    for k, one in enumerate(features):
        kinds.setdefault((one.of, one.look, one.up, one.held_against, one.to, one.band), []).append(
            k
        )
    return tuple(_lines(features, places) for places in kinds.values())


def _lines(features: Sequence[Feature], places: list[int]) -> QuantityFeatures:
    none, turns, full, weight, against = np.array(
        [(*features[k].knots, features[k].weight, features[k].against) for k in places]
    ).T.reshape(5, -1)
    first = features[places[0]]
    if first.look == "level":
        size = full - turns
        slope, soft = 2 * size, np.square(size) / 4
    else:
        size = np.maximum(np.abs(none), np.abs(full))
        slope, soft = size, np.square(_SHARPEST * size)
    as_single = (slope / np.log(10), turns, soft, weight, against)
    return QuantityFeatures(
        np.array(places), first, *(each.astype(np.float32) for each in as_single)
    )


def _counted_once(
    features: Sequence[Feature], of_cause: Sequence[slice]
) -> tuple[npt.NDArray[np.intp], ...]:
    found = []
    for where in of_cause:
        groups: dict[str, list[int]] = {}
        for k in range(where.start, where.stop):
            if features[k].once:
                groups.setdefault(features[k].once, []).append(k)
        found += [np.array(places) for places in groups.values() if len(places) > 1]
    return tuple(found)


def _fresh_range(analyte: str, technologies: Sequence[str | None]) -> Singles:
    """Return the ends of a fresh fill by technology; anything at all where it is not known."""
    known = fresh_coolant()
    ends = [known.of(each, analyte) or (0.0, float(UNKNOWN)) for each in technologies]
    return np.array(ends, dtype=np.float32).T
