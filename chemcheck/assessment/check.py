"""Judge every sample against limits: what `chemcheck check` does."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.balances import Balances
from chemcheck.assessment.because import reasons
from chemcheck.assessment.borne_out import without_contradicted
from chemcheck.assessment.counts import count_all
from chemcheck.assessment.dispositions import advice_by_bound
from chemcheck.assessment.received_goods import find_goods, judge_goods, with_goods
from chemcheck.assessment.record import Assessment
from chemcheck.assessment.remedies import Remedies
from chemcheck.assessment.set_choices import SetChoice, default_choice, named_choices
from chemcheck.assessment.system_size import system_sizes
from chemcheck.assessment.trust import weigh_trust
from chemcheck.causes import Causes, find_causes
from chemcheck.causes.record import MOST_LISTED
from chemcheck.causes.references import what_is_not_looked_for
from chemcheck.chemistry.range_record import Range
from chemcheck.errors import UnknownTechnologyError, not_one_of, shorten
from chemcheck.fills import fresh_fill_rows, number_fills
from chemcheck.fills.event_order import FRESH_SAMPLES, all_events
from chemcheck.history.record import Events
from chemcheck.judging.all_samples import judge
from chemcheck.judging.doubts import for_columns
from chemcheck.judging.glycol_of_concentrate import with_glycol_of_concentrate
from chemcheck.judging.plan import material_codes
from chemcheck.judging.uncertainty import MATERIALS, unknown_methods
from chemcheck.limit_library import default_method, technologies
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.questions import join_questions
from chemcheck.readings.record import Readings
from chemcheck.readings.text_codes import text_codes
from chemcheck.remedies.estimate import Estimate

# Of methods that the library does not know so many are named.
METHODS_NAMED = 5

Limits = str | Path | LimitSet


def check(
    readings: Readings,
    limits: Limits | Sequence[Limits] | None = None,
    technology: str | None = None,
    *,
    rule: str = "overlap",
    events: Events | None = None,
    today: date | None = None,
    system: Estimate | None = None,
    drains: Estimate | None = None,
    top_up_water: Mapping[str, Estimate] | None = None,
) -> Assessment:
    r"""Say of every sample whether it is fit, and what to do.

    Parameters
    ----------
    readings : Readings
        From `chemcheck.read_results`.
    limits : str, Path, LimitSet or sequence of them, optional
        Sets by id or file. Each gives a verdict; for every sample the first that applies to
        it makes the headline. Without any, the default set of the sample's material and
        technology is used.
    technology : str, optional
        What coolants are of which no technology is stated.
    rule : {"overlap", "simple", "guarded"}
        The decision rule.
    events : Events, optional
        The log of changes: it says which fresh fill a sample is held against, and what
        explains a step in its unit's history.
    today : date, optional
        Samples dated later are asked about; by default the day of the call.
    system, drains : Estimate, optional
        Volume of the cooling system, and how much of it drains, for samples whose row does
        not say [L].
    top_up_water : mapping of str to Estimate, optional
        Of the tap water that systems were topped up with, by analyte [canonical units];
        by default what the samples of water say.

    Returns
    -------
    Assessment
        Verdicts, dispositions, counts, assumptions and cautions. Blanks, check standards
        and spikes are judged by no set; new coolant (concentrate, premix, bulk tanks, and
        fresh fills that name no unit) by the sets for it, against the fleet's references.

    Raises
    ------
    LimitFileError
        If a limit set is not found or not valid.
    UnknownTechnologyError
        If the technology is none that the library knows.
    QuantityError
        If the volumes cannot be.
    ValueError
        If the decision rule is none.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from chemcheck import read_results
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder, "tap.csv")
    ...     _ = file.write_text(
    ...         "Sample No,pH,Total hardness (mg/L as CaCO3),Cl (mg/L),SO4 (mg/L)\n"
    ...         "Tap 1,7.6,110,12,20\n"
    ...         "Tap 2,7.8,310,85,120\n"
    ...     )
    ...     answer = check(read_results(file, material="water"))
    >>> answer.verdicts[["sample_id", "verdict", "disposition", "outside"]]
      sample_id verdict       disposition                            outside
    0     Tap 1     fit              keep
    1     Tap 2   unfit  correct in place  total_hardness; chloride; sulfate
    """
    assumptions = _read_assumptions(readings)
    if technology is not None:
        readings, assumed = _with_technology(readings, technology)
        assumptions += assumed
    trust = weigh_trust(readings, events, today)
    readings, doubts, derived = with_glycol_of_concentrate(trust.readings, trust.doubts)
    sizes = system_sizes(readings.samples, system, drains)
    asked = join_questions([readings.questions, sizes.questions])
    readings = replace(readings, questions=asked)
    readings, goods, worked_out = find_goods(readings, trust.own)
    doubts = for_columns(doubts, len(readings.columns))
    assumptions += trust.assumptions + derived + worked_out
    to_judge = readings
    if limits is None:
        borne_out = without_contradicted(readings)
        readings, to_judge = borne_out.readings, borne_out.judged
        assumptions += borne_out.assumptions
        choice, unknown = default_choice(to_judge.samples)
        if goods is not None:
            choice = with_goods(choice, readings, goods)
        choices: tuple[SetChoice, ...] = (choice,)
        assumptions += unknown
    else:
        named = [limits] if isinstance(limits, str | Path | LimitSet) else list(limits)
        choices = named_choices(readings.samples, named)
        assumptions += _assumed_by_naming(readings, choices[0])
    assumptions += _assumed_methods(readings)
    fresh = _fresh_rows(readings, choices, events)
    if goods is not None and fresh is not None:
        fresh[goods.row] = -1  # they are held against the fleet's references
    judged = tuple(
        judge(
            to_judge,
            choice.sets,
            choice.set_of_sample,
            rule=rule,
            name=choice.name,
            fresh=fresh,
            own=trust.own,
            doubts=doubts,
            references=None if goods is None else goods.reference,
        )
        for choice in choices
    )
    because = reasons(judged[0], advice_by_bound(judged[0]))
    tap = {key: Range(one.lower, one.upper) for key, one in (top_up_water or {}).items()}
    causes = find_causes(readings, all_events(readings, events), judged[0].uncertainty, tap)
    assumptions += _about_causes(causes)
    balances = Balances(judged[0], all_events(readings, events), sizes, tap)
    return Assessment(
        readings=readings,
        judged=judged,
        disposition=because.disposition,
        because=because.code,
        because_texts=because.texts,
        counts=count_all(readings, judged[0]),
        assumptions=tuple(dict.fromkeys(assumptions)),
        cautions=_cautions(choices, readings.samples["technology"]),
        shared_causes=trust.shared_causes,
        balances=balances,
        causes=causes,
        received=None if goods is None else judge_goods(judged[0], goods),
        remedies=Remedies(judged[0], sizes, balances, because.confirm, trust.own, causes),
    )


def _about_causes(causes: Causes | None) -> tuple[str, ...]:
    """Say for what no causes are listed, and what they are not held against."""
    if causes is None:
        return ()
    n = len(causes.readings.samples)
    said = [what_is_not_looked_for(n)]
    if n > MOST_LISTED:
        said.append(
            f"above {MOST_LISTED:,} samples causes are weighed only where they are shown, in JSON "
            "and on pages: no causes.csv is written"
        )
    return tuple(filter(None, said))


def _read_assumptions(readings: Readings) -> tuple[str, ...]:
    """Write the assumptions made while reading, one line each."""
    return tuple(
        ": ".join(part for part in (file, column, assumption) if isinstance(part, str) and part)
        for file, column, assumption in readings.assumptions.itertuples(index=False)
    )


def _with_technology(readings: Readings, technology: str) -> tuple[Readings, tuple[str, ...]]:
    """Give coolants without a technology the one that the user states."""
    if technology not in technologies():
        raise UnknownTechnologyError(not_one_of(technology, technologies(), "technology"))
    samples = readings.samples
    unknown = samples["technology"].isna() & (samples["material"] == "coolant")
    count = int(unknown.sum())
    if not count:
        return readings, ()
    stated = samples["technology"].astype("str").mask(unknown, technology)
    said = f"technology {technology} for {count} samples that state none, as told"
    return replace(readings, samples=samples.assign(technology=stated)), (said,)


def _assumed_by_naming(readings: Readings, headline: SetChoice) -> tuple[str, ...]:
    """Say which samples of unknown technology are judged by a set for one technology."""
    needs = np.array([*(bool(s.technologies) for s in headline.sets), False])
    unknown = readings.samples["technology"].isna().to_numpy()
    count = int(np.count_nonzero(needs[headline.set_of_sample] & unknown))
    if not count:
        return ()
    return (f"{count} samples state no technology; the limit set named was taken to fit them",)


def _assumed_methods(readings: Readings) -> tuple[str, ...]:
    """Say whose uncertainty stands in where no method, or an unknown one, is named."""
    answer = []
    material = material_codes(readings)
    codes = readings.method.codes
    stated = codes.size > 0 and bool(
        codes[:, :1].min() >= 0 if _one_column(codes) else codes.min() >= 0
    )
    if not stated and codes.size:
        for k in np.flatnonzero(np.bincount(material, minlength=2)):
            title = default_method(MATERIALS[k]).title
            answer.append(f"uncertainty of readings of {MATERIALS[k]} without a method: {title}")
    unknown = unknown_methods(readings.method.names)
    if unknown:
        names = ", ".join(repr(shorten(name)) for name in unknown[:METHODS_NAMED])
        more = len(unknown) - METHODS_NAMED
        tail = f" and {more} more" if more > 0 else ""
        answer.append(
            f"method {names}{tail} is not in the library: the usual method's uncertainty is used"
        )
    return tuple(answer)


def _one_column(codes: npt.NDArray[np.int16]) -> bool:
    """Return whether all columns are a view of one."""
    return codes.strides[1] == 0


def _fresh_rows(
    readings: Readings, choices: Iterable[SetChoice], events: Events | None
) -> npt.NDArray[np.int64] | None:
    """Return the fresh-fill sample of each sample, where any bound needs one."""
    needed = any(
        bound.of_fresh
        for choice in choices
        for each in choice.sets
        for limit in each.limits
        for bound in limit.bounds
    )
    _, sample_types = text_codes(readings.samples["sample_type"])
    if not needed or set(sample_types).isdisjoint(FRESH_SAMPLES):
        return None
    fills = number_fills(readings.samples, all_events(readings, events))
    rows = fresh_fill_rows(readings.samples, fills)
    return rows if (rows >= 0).any() else None


def _cautions(choices: Iterable[SetChoice], technology: pd.Series) -> tuple[str, ...]:
    """Return the keys of the cautions of all sets that judge a sample, and of technologies."""
    keys = [
        key
        for choice in choices
        for k in np.unique(choice.set_of_sample[choice.set_of_sample >= 0])
        for key in choice.sets[k].cautions
    ]
    known = (technologies().get(name) for name in text_codes(technology)[1])
    own = [key for one in known if one is not None for key in one.cautions]
    return tuple(dict.fromkeys([*keys, *own]))
