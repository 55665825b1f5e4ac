"""Remedies of a fill in which a coolant of another technology was found: a change comes first."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from chemcheck.assessment.remedy_record import Draft
from chemcheck.causes import Hypothesis, MixedTechnology
from chemcheck.causes.mixed_technologies import mixed_coolant_settings
from chemcheck.limit_library import technologies
from chemcheck.units.number_text import number

# The signature that stands for it in limits/causes.
MIXED = "mixed_technologies"
_CONFIRM = "confirm_first"


def asks_for_change(mixed: MixedTechnology | None) -> bool:
    """Return whether so much of another coolant is, or may be, inside that all is changed."""
    return mixed is not None and mixed_coolant_settings()[2][-1] in mixed.bands


def for_mixed_fill(drafts: Iterable[Draft], mixed: MixedTechnology) -> Iterator[Draft]:
    """Hold back what leaves the mixture inside, as far as its share asks for a change.

    Parameters
    ----------
    drafts : iterable of Draft
        Remedies of one sample.
    mixed : MixedTechnology
        What was found in it.

    Yields
    ------
    Draft
        The same, in the same order. What keeps part of the fill is refused where the share
        surely asks for a change, and comes after the change where it may. Where the share
        asks for a measurement, that is needed first.
    """
    bands = mixed_coolant_settings()[2]
    surely = mixed.bands[0] == bands[-1]
    measures = [band.do for band in mixed.bands if band not in (bands[0], bands[-1])]
    for draft in drafts:
        cautions = tuple(dict.fromkeys((*draft.cautions, _CONFIRM)))
        if not draft.keeps_fill:
            yield replace(draft, cautions=cautions)
            continue
        needs = (*draft.needs, *(f"{_share(mixed)}: {do}" for do in measures))
        if not asks_for_change(mixed):
            yield replace(draft, cautions=cautions, needs=needs)
            continue
        yield replace(
            draft,
            cautions=cautions,
            needs=draft.needs if surely else needs,
            held_back=_reason(mixed, surely),
            refused=surely,
        )


def for_suspected_mix(drafts: Iterable[Draft], suspicion: Hypothesis) -> Iterator[Draft]:
    """Hold back what would leave a mixture inside whose share nobody knows.

    Parameters
    ----------
    drafts : iterable of Draft
        Remedies of one sample.
    suspicion : Hypothesis
        The cause that readings speak for.

    Yields
    ------
    Draft
        The same, in the same order; what keeps part of the fill comes after a change.
    """
    *_, before, last = mixed_coolant_settings()[2]
    reason = (
        f"A change is better: the readings speak for {suspicion.title}, and the share is "
        f"not known. {suspicion.confirm_by} From {number(100.0 * before.upto)} % on: {last.do} "
        f"({last.source}; {last.evidence})."
    )
    for draft in drafts:
        held_back = reason if draft.keeps_fill else None
        cautions = tuple(dict.fromkeys((*draft.cautions, _CONFIRM)))
        yield replace(draft, cautions=cautions, held_back=held_back)


def _share(mixed: MixedTechnology) -> str:
    known = technologies().get(mixed.technology)
    title = mixed.technology if known is None else known.title
    ends = mixed.fraction.lower, mixed.fraction.upper
    low, high = (number(100.0 * float(end), 2) for end in ends)
    return f"{low} to {high} % of the coolant looks like {title}"


def _reason(mixed: MixedTechnology, surely: bool) -> str:
    *_, before, last = mixed_coolant_settings()[2]
    outcome = "This is refused" if surely else "A change is better"
    return (
        f"{outcome}: {_share(mixed)}, and it stays inside. From {number(100.0 * before.upto)} % "
        f"on: {last.do} ({last.source}; {last.evidence})."
    )
