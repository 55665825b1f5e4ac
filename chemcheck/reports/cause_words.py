"""What may have gone wrong in a sample, in words for a page."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from chemcheck.analytes import vocabulary
from chemcheck.assessment.record import Assessment
from chemcheck.causes import Causes, Hypothesis, TechnologyCheck
from chemcheck.limit_library import cautions, technologies
from chemcheck.reports.document import Section
from chemcheck.reports.numbers import number

# Evidence beyond this is not told as a number [log10].
MOST_CLAIMED = 3.0


@dataclass(frozen=True, slots=True)
class CauseStory:
    """What is said of the causes of one sample.

    Parameters
    ----------
    raised : tuple of Hypothesis
        Causes that the readings raise, the likeliest first.
    alike : tuple of str
        Titles of causes that only look like those.
    remarks : tuple of str
        What the readings do not tell apart, the next test, and whether the technology that
        was stated is borne out.
    """

    raised: tuple[Hypothesis, ...]
    alike: tuple[str, ...]
    remarks: tuple[str, ...]

    @property
    def cautions(self) -> tuple[str, ...]:
        """Keys of the cautions of the causes raised."""
        return tuple(dict.fromkeys(key for one in self.raised for key in one.cautions))


def cause_story(causes: Causes | None, row: int) -> CauseStory | None:
    """Return what is said of the causes of a sample.

    Parameters
    ----------
    causes : Causes or None
        Of all samples.
    row : int
        Position of the sample.

    Returns
    -------
    CauseStory or None
        None where nothing is to be said.
    """
    if causes is None:
        return None
    found = causes.of_sample(row)
    raised = tuple(one for one in found if one.raised)
    alike = tuple(one.title for one in found if not one.raised)
    several = bool(raised) and len(found) > 1
    remarks = tuple(_remarks(causes, row, several=several))
    return CauseStory(raised, alike if raised else (), remarks) if raised or remarks else None


def cause_sections(assessment: Assessment, row: int) -> Iterator[Section]:
    """Give the causes of one sample, each under a heading of its own, then what is left open.

    Parameters
    ----------
    assessment : Assessment
        All samples.
    row : int
        Position of the sample.
    """
    story = cause_story(assessment.causes, row)
    if story is None:
        return
    told = set(assessment.cautions)
    for place, one in enumerate(story.raised):
        lead = "What may have gone wrong" if place == 0 else "And"
        yield Section(f"{lead}: {one.title}", tuple(_items(one, told)))
        told |= set(one.cautions)
    left_open = [*story.remarks]
    if story.alike:
        left_open.append(f"Looking alike, with less evidence: {', '.join(story.alike)}.")
    yield Section("What the causes leave open", tuple(left_open))


def _items(one: Hypothesis, told: set[str]) -> Iterator[str]:
    yield f"These readings are {likelihood_words(one.weight_of_evidence)}."
    for lead, texts in (("For", one.evidence_for), ("Against", one.evidence_against)):
        for text in texts:
            yield f"{lead}: {text}."
    if one.missing:
        yield f"Not read: {', '.join(one.missing)}."
    yield f"Looks alike: {'; '.join(one.looks_like)}."
    yield f"Confirm: {one.confirm_by}"
    yield f"Do: {one.remedy}"
    yield f"Source: {one.source} ({one.evidence})."
    yield from cautions([key for key in one.cautions if key not in told])


def likelihood_words(weight: float) -> str:
    """Say a weight of evidence as how much better the cause explains the readings.

    Weights are judged, not measured: more than a thousand times is not claimed.

    Examples
    --------
    >>> likelihood_words(2.0), likelihood_words(-0.31)
    ('100 times as likely with it as without', '0.5 times as likely with it as without')
    >>> likelihood_words(4.6)
    'more than 1000 times as likely with it as without'
    """
    if weight > MOST_CLAIMED:
        return f"more than {number(10.0**MOST_CLAIMED)} times as likely with it as without"
    times = 10.0**weight
    # One digit: the weights themselves are judged, not measured.
    rounded = round(times, -math.floor(math.log10(times)))
    return f"{number(rounded)} times as likely with it as without"


def _remarks(causes: Causes, row: int, *, several: bool) -> Iterator[str]:
    if several:
        same = causes.alike(row)
        if len(same) > 1:
            yield f"These readings do not tell apart: {', '.join(same)}."
        test = causes.next_test(row)
        if test is not None:
            yield f"The test that best tells the first two apart: {test}."
    yield from _technology_words(causes.technology(row))


def _technology_words(found: TechnologyCheck) -> Iterator[str]:
    """Say whether the technology is borne out, where the readings speak against it."""
    if found.supported != "no" or found.stated is None:
        return
    known = technologies()
    against = ", ".join(vocabulary()[key].title for key in found.contradicts)
    said = f"The readings do not bear out the technology {known[found.stated].title}: {against}."
    if found.candidates:
        proposed = " or ".join(known[key].title for key in found.candidates)
        said += f" They would fit {proposed}; confirm before anything is decided on it."
    yield said
