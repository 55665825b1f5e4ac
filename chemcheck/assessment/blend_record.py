"""What is said of a mixture of waters."""

from collections.abc import Mapping
from dataclasses import dataclass

from chemcheck.assessment.record import Assessment
from chemcheck.judging.record import NOT_DECIDED, VERDICT_NAMES
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.record import ReadingColumn
from chemcheck.remedies.mixture import Mixture
from chemcheck.remedies.mixture_ph import MixturePh
from chemcheck.remedies.water_blend import LinearBound


@dataclass(frozen=True, slots=True)
class MixedWater:
    """A source in the answer.

    Parameters
    ----------
    name, origin : str
        What it is called, and where its readings are from.
    cost : float
        Of a litre, as given or as assumed.
    is_deionised : bool
        Whether its salts were taken out.
    samples : int
        How many stand behind it; 0 for what is assumed.
    verdict : str
        Of the source alone: ``fit``, ``undecided`` or ``unfit``.
    """

    name: str
    origin: str
    cost: float
    is_deionised: bool
    samples: int
    verdict: str


@dataclass(frozen=True, slots=True)
class Held:
    """What a mixture holds of one analyte.

    Parameters
    ----------
    lower, upper : float
        By the readings as reported [the analyte's canonical unit].
    u : float
        Standard uncertainty by the methods of the readings, taken to err together [the same].
    """

    lower: float
    upper: float
    u: float


@dataclass(frozen=True, slots=True)
class Blended:
    """A mixture with its chemistry, judged as a sample would be.

    Parameters
    ----------
    mixture : Mixture
        Shares, cost and bounds.
    held : mapping of ReadingColumn to Held
        What it holds, pH among it where it could be reckoned.
    ph : MixturePh
        Closed, and open to air.
    assessment : Assessment
        By the decision rule, with the uncertainty of the readings behind it.
    doubted : tuple of str
        Why the readings of waters in it are not to be relied on; the mixture then is not decided.
    """

    mixture: Mixture
    held: Mapping[ReadingColumn, Held]
    ph: MixturePh
    assessment: Assessment
    doubted: tuple[str, ...] = ()

    @property
    def verdicts(self) -> dict[str, str]:
        """By each limit set: ``fit``, ``undecided`` or ``unfit``."""
        return {
            one.name: VERDICT_NAMES[NOT_DECIDED if self.doubted else one.verdict[0]]
            for one in self.assessment.judged
        }

    @property
    def verdict(self) -> str:
        """By all limit sets: the worst of theirs."""
        return max(self.verdicts.values(), key=VERDICT_NAMES.index)

    @property
    def because(self) -> str:
        """Why, by the first limit set."""
        if self.doubted:
            return "; ".join(self.doubted)
        return str(self.assessment.because_texts[self.assessment.because[0]])


@dataclass(frozen=True, slots=True)
class BlendAnswer:
    """The cheapest mixture of waters.

    Parameters
    ----------
    waters : tuple of MixedWater
        In the order given.
    limit_sets : tuple of LimitSet
        What the mixture has to meet, all of them.
    rule : str
        How uncertainty counts for its verdict.
    bounds : tuple of LinearBound
        The action bounds that mix in proportion.
    cheapest : Blended or None
        The mixture of the least cost that meets them by the readings as reported; where none
        does, the one that comes nearest; None where not even that can be said.
    with_room : Blended or None
        The same at the unfavourable end of the methods' 95 % intervals; None where no mixture
        leaves so much room, and where readings have no more than their interval.
    stated : Blended or None
        The mixture that was asked about; None where none was.
    tap_share_max : float
        The largest share of water that is not deionised and meets every bound [1]; NaN where
        no mixture does.
    tap_controlled_by : LinearBound or None
        What keeps that share from being larger.
    deionised_would_do : bool
        Whether, where no mixture will do, deionised water as one more source would help.
    costs_given : bool
        Whether costs were given; else deionised water counts as 1 and any other as 0.
    left_out, assumptions, questions : tuple of str
        Bounds that could not be used and why; what was assumed; what has to be settled.
    cautions : tuple of str
        Keys of the cautions that apply.
    """

    waters: tuple[MixedWater, ...]
    limit_sets: tuple[LimitSet, ...]
    rule: str
    bounds: tuple[LinearBound, ...]
    cheapest: Blended | None
    with_room: Blended | None
    stated: Blended | None
    tap_share_max: float
    tap_controlled_by: LinearBound | None
    deionised_would_do: bool
    costs_given: bool
    left_out: tuple[str, ...]
    assumptions: tuple[str, ...]
    questions: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def possible(self) -> bool:
        """Whether any mixture meets every bound that mixes in proportion."""
        return self.cheapest is not None and self.cheapest.mixture.possible
