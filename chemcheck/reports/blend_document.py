"""What `blend` says, for a person: the cheapest mixture, or which bounds exclude each other."""

import math
from collections.abc import Iterator

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.blend_record import BlendAnswer, Blended
from chemcheck.limit_library import cautions
from chemcheck.remedies.water_blend import LinearBound
from chemcheck.reports.check_document import set_words
from chemcheck.reports.document import Document, Finding, Section
from chemcheck.reports.numbers import counted, interval, number
from chemcheck.reports.result_lines import result_lines

_NO_MARGIN = (
    "A mixture at its bound has no margin: use less of the water that reaches it. Mix, and measure "
    "the mixture before it is used."
)
_ROOM = "with room for the uncertainty of the readings (95 %)"


def blend_document(answer: BlendAnswer) -> Document:
    """Return what is said of a mixture.

    Parameters
    ----------
    answer : BlendAnswer
        The mixture.

    Returns
    -------
    Document
        To be written as text or as a page.
    """
    sets = ", ".join(f"{one.id} (version {one.version})" for one in answer.limit_sets)
    several = "sets" if len(answer.limit_sets) > 1 else "set"
    return Document(
        title="Water page",
        in_use=f"Judged against limit {several} {sets}, by the rule '{answer.rule}'.",
        sentence=" ".join(_sentences(answer)),
        counts=(),
        overview=(),
        findings=tuple(_findings(answer)),
        cut="",
        sections=tuple(_sections(answer)),
    )


def bound_words(bound: LinearBound) -> str:
    """Name a bound with its number.

    Examples
    --------
    >>> bound_words(LinearBound("chloride", "chloride", (), "upper", 40.0, "mg/L", True))
    'chloride (at most 40 mg/L)'
    """
    at = "at most" if bound.side == "upper" else "at least"
    return f"{bound.title} ({' '.join(filter(None, [at, number(bound.value), bound.unit]))})"


def share_words(answer: BlendAnswer, blended: Blended) -> str:
    """Write the shares of a mixture in percent, the largest first; waters without a share not.

    Parameters
    ----------
    answer : BlendAnswer
        The waters.
    blended : Blended
        Their shares.
    """
    shares = sorted(
        zip(blended.mixture.shares.tolist(), answer.waters, strict=True),
        key=lambda pair: -pair[0],
    )
    told = [f"{number(100 * share, 3)} % {water.name}" for share, water in shares if share > 0]
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"


def _sentences(answer: BlendAnswer) -> Iterator[str]:
    cheapest = answer.cheapest
    if answer.stated is not None:
        verdict = answer.stated.verdict
        words = f"{share_words(answer, answer.stated)}{_cost(answer, answer.stated)}"
        yield f"The mixture asked about, {words}, is {verdict}: {answer.stated.because}."
    if cheapest is None:
        yield "Impossible, because every water's reading is open towards a bound: read them again."
        return
    control = [answer.bounds[k] for k in cheapest.mixture.controlled_by]
    if not answer.possible:
        against = " and ".join(map(bound_words, control))
        verb = "exclude each other" if len(control) > 1 else "is beyond what they can give"
        yield f"Impossible: no mixture of these waters meets every bound, because {against} {verb}."
        yield f"Nearest comes {share_words(answer, cheapest)}: {_misses(answer, cheapest)}."
        return
    lead = "The cheapest mixture" if answer.costs_given else _without_costs(answer)
    words = f"{share_words(answer, cheapest)}{_cost(answer, cheapest)}"
    yield f"{lead} that meets every bound is {words}."
    if control:
        verb = "controls" if len(control) == 1 else "control"
        yield _capital(f"{' and '.join(map(bound_words, control))} {verb}.")
    state = cheapest.verdict
    if state != "fit":
        by = "" if cheapest.doubted else " with the uncertainty of the readings"
        yield f"Judged{by} it is {state}: {cheapest.because}."
    if answer.with_room is None:
        yield f"No mixture meets every bound {_ROOM}."
    elif not _alike(answer.with_room, cheapest):
        yield (
            f"{_capital(_ROOM)}: {share_words(answer, answer.with_room)}"
            f"{_cost(answer, answer.with_room)}."
        )


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def _without_costs(answer: BlendAnswer) -> str:
    if any(water.is_deionised for water in answer.waters):
        return "The mixture with the least deionised water"
    return "The mixture farthest from its nearest bound"


def _cost(answer: BlendAnswer, blended: Blended) -> str:
    return f", at {number(blended.mixture.cost, 3)} a litre" if answer.costs_given else ""


def _alike(one: Blended, other: Blended) -> bool:
    pairs = zip(one.mixture.shares, other.mixture.shares, strict=True)
    return all(math.isclose(a, b, abs_tol=5e-4) for a, b in pairs)


def _misses(answer: BlendAnswer, blended: Blended) -> str:
    """Say what the nearest mixture holds of the quantities that exclude each other."""
    told = []
    for place in blended.mixture.controlled_by:
        bound, held = answer.bounds[place], float(blended.mixture.held[place])
        beyond = abs(held - bound.value)
        part = f", {number(100 * beyond / abs(bound.value), 2)} % beyond" if bound.value else ""
        told.append(f"{bound.title} {number(held, 3)} {bound.unit}{part}".strip())
    return "; ".join(told)


def _findings(answer: BlendAnswer) -> Iterator[Finding]:
    if answer.stated is not None:
        yield _finding("The mixture asked about", answer, answer.stated, ())
    cheapest = answer.cheapest
    if cheapest is None:
        return
    name = "The cheapest mixture" if answer.costs_given else "The mixture"
    if not answer.possible:
        name = "The nearest mixture"
    yield _finding(name, answer, cheapest, tuple(_to_do(answer)))
    if answer.with_room is not None and not _alike(answer.with_room, cheapest):
        yield _finding(f"The mixture {_ROOM}", answer, answer.with_room, ())


def _finding(name: str, answer: BlendAnswer, blended: Blended, to_do: tuple[str, ...]) -> Finding:
    lines = result_lines(blended.assessment.headline, 0)
    verdict = blended.verdict
    return Finding(
        name=name,
        sentence=f"{share_words(answer, blended)}{_cost(answer, blended)}: {verdict}.",
        lines=tuple(line for line in lines if line.source),
        why=(),
        to_do=to_do,
        remarks=tuple(_remarks(blended)),
    )


def _to_do(answer: BlendAnswer) -> Iterator[str]:
    mixed = answer.with_room or answer.cheapest
    if answer.possible and mixed is not None:
        parts = ", ".join(
            f"{number(10 * share, 3)} L of {water.name}"
            for share, water in zip(mixed.mixture.shares.tolist(), answer.waters, strict=True)
            if share > 0
        )
        yield f"For 10 L mix {parts}."
        if mixed.mixture.controlled_by:
            yield _NO_MARGIN
    elif answer.deionised_would_do:
        yield "With deionised water as one more source every bound can be met: --source deionised."


def _remarks(blended: Blended) -> Iterator[str]:
    yield "Each reading is the interval that holds 95 %, by the readings and methods of the waters."
    ph = blended.ph
    if not math.isnan(ph.ends[0]):
        yield (
            f"pH {interval(*ph.closed, 2)} mixed without air, {interval(*ph.open_to_air, 2)} once "
            "it has stood open to air (by the readings as reported)."
        )
    others = [
        f"{analyte_of(column.analyte).title} {interval(one.lower, one.upper, 3)} "
        f"{analyte_of(column.analyte).unit}"
        for column, one in blended.held.items()
        if column.analyte not in _judged(blended)
    ]
    if others:
        yield f"It holds besides, without a bound here: {', '.join(others)}."


def _judged(blended: Blended) -> set[str]:
    return {limit.analyte for one in blended.assessment.limit_sets for limit in one.limits}


def _sections(answer: BlendAnswer) -> Iterator[Section]:
    yield Section("Waters", tuple(_waters(answer)))
    yield Section("Limit sets and versions", tuple(map(set_words, answer.limit_sets)))
    yield Section("Assumptions", answer.assumptions)
    yield Section("What was not known", (*answer.questions, *answer.left_out))
    yield Section("Cautions", cautions(answer.cautions))


def _waters(answer: BlendAnswer) -> Iterator[str]:
    for place, water in enumerate(answer.waters):
        cost = f", {number(water.cost, 3)} a litre" if answer.costs_given else ""
        samples = f" ({counted(water.samples, 'sample')})" if water.samples > 1 else ""
        share = ""
        if answer.cheapest is not None:
            share = f", {number(100 * float(answer.cheapest.mixture.shares[place]), 3)} %"
        alone = f"; alone {water.verdict}" if water.samples else ""
        yield f"{water.name}: {water.origin}{samples}{cost}{share}{alone}."
