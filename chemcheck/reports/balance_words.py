"""Balances of mass in sentences."""

from collections.abc import Iterator

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.balances import SampleBalance
from chemcheck.causes import ContaminantBalance, MixedTechnology, ReserveBalance
from chemcheck.causes.contaminant_balance import Explained
from chemcheck.causes.expected_fill import ExpectedComparison
from chemcheck.chemistry.range_record import Range
from chemcheck.limit_library import technologies
from chemcheck.reports.numbers import interval, number

_WAYS = {"leak": "if it had leaked", "evaporation": "if it had evaporated"}
_RESERVE_UNIT = "mL"
# Of what agrees so many are named.
_NAMED = 6
_MINERAL = "mineral acid (chloride, sulfate beyond their cations)"


def balance_words(balance: SampleBalance) -> tuple[str, ...]:
    """Say what the balances of one sample come to.

    Parameters
    ----------
    balance : SampleBalance
        Of the sample.

    Returns
    -------
    tuple of str
        Sentences; none where there is nothing to balance.
    """
    told = [] if balance.expected is None else list(_expected(balance.expected))
    told += _contaminants(balance.contaminants)
    if balance.reserve is not None:
        told += _reserve(balance.reserve)
    if balance.mixed is not None:
        told += _mixed(balance.mixed)
    if balance.needs:
        told.append(f"To balance chloride, sulfate and hardness takes {'; '.join(balance.needs)}.")
    return tuple(told)


def _expected(one: ExpectedComparison) -> Iterator[str]:
    for each in one.differ:
        unit = analyte_of(each.analyte).unit
        yield (
            f"{_title(each.analyte)} is {'more' if each.more else 'less'} than the refill should "
            f"have come to: {_ends(each.found)} against {_ends(each.expected)} {unit}."
        )
    if one.thinner is not None:
        low, high = (100.0 * float(end) for end in (one.thinner.lower, one.thinner.upper))
        yield (
            f"The fill is {interval(low, high, 2)} % thinner than reckoned: more water stayed "
            "inside, it is not mixed yet, or the litres were not those planned."
        )
    count = len(one.agree)
    if count:
        names = ", ".join(analyte_of(name).title for name in one.agree[:_NAMED])
        more = f" and {count - _NAMED} more" if count > _NAMED else ""
        verb = "is" if count == 1 else "are"
        yield f"As the refill should have come to {verb} {names}{more}."


def _contaminants(balances: tuple[ContaminantBalance, ...]) -> Iterator[str]:
    explained = []
    for one in balances:
        likely = _likely(one)
        if all(each.surely_more for _, each in likely):
            yield _remains(one, likely)
        elif any(each.surely_more for _, each in likely):
            way = next(way for way, each in likely if each.surely_more)
            yield (
                f"{_title(one.analyte)}: {_WAYS[way]} something remains that fresh fill and "
                "top-ups do not explain, else nothing: ask whether the system leaked or boiled off."
            )
        else:
            explained.append(analyte_of(one.analyte).title)
    if explained:
        verb = "is" if len(explained) == 1 else "are"
        topped = balances[0].topped_up
        told = f" and {number(topped, 3)} L topped up" if topped else ", with no top-up logged,"
        words = ", ".join(explained)
        yield f"{words[:1].upper()}{words[1:]} {verb} no more than fresh fill{told} can explain."
    if balances and balances[0].topped_up and balances[0].physics in ("leak", "evaporation"):
        lost = "leaked" if balances[0].physics == "leak" else "evaporated"
        yield f"By its glycol, what was topped up had {lost}."
    elif balances and balances[0].physics == "neither":
        yield (
            "Glycol fits neither a leak nor evaporation of what the log says was topped up: is "
            "the log complete, and the system's volume right?"
        )


def _likely(one: ContaminantBalance) -> list[tuple[str, Explained]]:
    """Return the ways that glycol leaves open."""
    both = [("leak", one.leak), ("evaporation", one.evaporation)]
    chosen = [pair for pair in both if pair[0] == one.physics]
    if not one.topped_up:
        return both[:1]
    return chosen or both


def _remains(one: ContaminantBalance, likely: list[tuple[str, Explained]]) -> str:
    unit = analyte_of(one.analyte).unit
    topped = f" and {number(one.topped_up, 3)} L topped up" if one.topped_up else ""
    told = (
        f"{_title(one.analyte)}: {_ends(one.found)} {unit} found; fresh fill{topped} explain"
        f"{'' if one.topped_up else 's'} "
    )
    parts = []
    for way, each in likely:
        clause = f", {_WAYS[way]}" if len(likely) > 1 else ""
        parts.append(
            f"{_ends(each.level)}{clause}, so that {_ends(each.remains)} {unit} remain"
            f"{_amount(each, one)}"
        )
    return f"{told}{'; '.join(parts)}."


def _amount(each: Explained, one: ContaminantBalance) -> str:
    if each.salt is None or each.seawater is None:
        of = " of scale formers, as CaCO3," if one.analyte == "total_hardness" else ""
        return f": {_ends(each.mass)} g{of} in the system"
    return f": as much as {_ends(each.salt)} g of salt or {_ends(each.seawater)} mL of sea water"


def _reserve(one: ReserveBalance) -> Iterator[str]:
    balance, fresh = one.balance, one.fresh
    acids = ", ".join(
        f"{_MINERAL if name == 'mineral' else analyte_of(name).title} {_ends(part)}"
        for name, part in balance.by_acid.items()
        if float(part.upper) >= 0.05
    )
    if one.carbon_dioxide and one.ph_fall is not None:
        yield (
            f"pH is {_ends(one.ph_fall)} below the fresh fill's while reserve alkalinity is what "
            "dilution leaves: evidence for carbon dioxide (combustion gas, or air), which lowers "
            "pH and uses up no reserve, rather than for a stronger acid."
        )
    elif float(balance.lost.lower) <= 0.0:
        yield (
            f"Reserve alkalinity: {_ends(one.found)} of {_ends(fresh)} {_RESERVE_UNIT}; dilution "
            "alone may account for it."
        )
    if float(balance.lost.lower) <= 0.0:
        return
    found = f"the acids found account for {_ends(balance.explained)} ({acids})"
    if not acids:
        found = "no acid was found that accounts for it"
    yield (
        f"Reserve alkalinity is {_ends(balance.lost)} {_RESERVE_UNIT} below what dilution leaves "
        f"of the fresh fill's {_ends(fresh)}; {found}."
    )
    if float(balance.unexplained.lower) > 0.0:
        unread = f", such as {', '.join(one.unread)}" if one.unread else ""
        yield (
            f"{_ends(balance.unexplained)} {_RESERVE_UNIT} remain: an acid that was not measured"
            f"{unread}, carbonate or a cleaner's; or inhibitor that dropped out."
        )
    elif float(balance.unexplained.upper) < 0.0:
        yield "More acid is found than reserve is lost: was it dosed, or did acid come as salt?"


def _mixed(one: MixedTechnology) -> Iterator[str]:
    known = technologies().get(one.technology)
    title = one.technology if known is None else known.title
    low, high = (100.0 * float(end) for end in (one.fraction.lower, one.fraction.upper))
    share = interval(low, high, 2)
    todo = " or ".join(f"{band.do} ({band.source}; {band.evidence})" for band in one.bands)
    tracers = ", ".join(analyte_of(name).title for name in one.tracers)
    yield (
        f"{number(100 * one.value, 2)} % of the coolant ({share} %) looks like {title}, by "
        f"{tracers}: {todo}. Confirm with whoever topped it up."
    )
    if one.disagree:
        names = ", ".join(analyte_of(name).title for name in one.disagree)
        yield f"Not in line with that share: {names}."


def _title(analyte: str) -> str:
    title = analyte_of(analyte).title
    return title[:1].upper() + title[1:]


def _ends(one: Range) -> str:
    return interval(float(one.lower), float(one.upper), 3)
