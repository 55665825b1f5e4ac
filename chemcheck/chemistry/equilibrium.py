"""From columns of totals to a speciation: which waters can be solved, what is said of the rest."""

import warnings
from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.activity import IONIC_STRENGTH_LIMIT, LN10
from chemcheck.chemistry.balances import (
    LN_CARBONATE,
    LN_HYDROGEN,
    LN_SULFATE,
    LN_WATER,
    STRENGTH,
    Held,
)
from chemcheck.chemistry.constants import WATER, log_k
from chemcheck.chemistry.newton import CALCIUM_TOTAL, CARBONATE_TOTAL, LN_PARTNERS, solve
from chemcheck.chemistry.tableau import Tableau
from chemcheck.chemistry.waters import (
    HIGHEST_TEMPERATURE,
    PUBLISHED_TEMPERATURES,
    Speciation,
    Totals,
)
from chemcheck.errors import ConvergenceWarning, ExtrapolationWarning, OutsideValidityWarning

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Start = Callable[[Floats, Floats, Floats, Tableau], Floats]

# Stands for none at all of what the unknowns are logarithms of [mol/kg].
_NONE = 1e-18
# Below this natural logarithm of the activity of CO3-2 no carbonate is left to carry alkalinity.
_NO_CARBONATE = -50.0
_PARTNERS = ("calcium", "magnesium", "sodium", "potassium", "silica")


@dataclass(frozen=True, slots=True, eq=False)
class _Columns:
    """Inputs of all waters as columns, and which of them can be solved."""

    shape: tuple[int, ...]
    totals: dict[str, Floats]
    temperature: Floats
    amounts: Floats
    before: Floats
    usable: Flags
    impossible: Flags
    outside: dict[str, Flags]


def equilibrium(
    totals: Totals,
    held: Held,
    values: ArrayLike,
    temperature: ArrayLike,
    start: Start,
    tableau: Tableau,
    known: Floats | None = None,
) -> tuple[Speciation, Floats]:
    """Solve all waters that can be solved, and warn of the rest.

    Parameters
    ----------
    totals : Totals
        Total amounts.
    held : Held
        What stays constant.
    values : float or array-like
        Its values, as `Held` says.
    temperature : float or array-like
        [deg C].
    start : callable
        Where to begin: amounts, what is known, temperature and tableau in, state out.
    tableau : Tableau
        The species.
    known : numpy.ndarray, shape (7, ...), optional
        Equilibrium to begin from, rows of `waters.known_rows`.

    Returns
    -------
    speciation : Speciation
        In the common shape of the inputs.
    calcium : numpy.ndarray
        Total dissolved calcium [mol/kg].

    Warns
    -----
    OutsideValidityWarning
        Negative amounts, temperatures outside 0 to 130 deg C, ionic strength above 0.5 mol/kg,
        an alkalinity that is impossible at the pH: left empty.
    ExtrapolationWarning
        Temperatures above 100 deg C.
    ConvergenceWarning
        Waters whose iteration did not reach its tolerance: left empty.
    """
    if not np.any(np.asarray(totals.silica) > 0.0):
        tableau = tableau.without_silica
    columns = _columns(totals, held, values, temperature, known, len(tableau.partners))
    usable = columns.usable
    solution = np.full((LN_PARTNERS.start + len(tableau.partners), usable.size), np.nan)
    converged = np.zeros(usable.size, dtype=np.bool_)
    where = slice(None) if usable.all() else np.flatnonzero(usable)
    amounts, before = columns.amounts[:, where], columns.before[:, where]
    if amounts.size:
        chosen = _shared(columns.temperature[where])
        with np.errstate(all="ignore"):
            # A step too long overflows; it is seen as not converged, not as a number.
            state = start(amounts, before, chosen, tableau)
            solution[:, where], converged[where] = solve(amounts, held, state, chosen, tableau)

    impossible = ~converged & (solution[LN_CARBONATE] < _NO_CARBONATE)
    impossible |= columns.impossible
    strong = converged & (solution[STRENGTH] > IONIC_STRENGTH_LIMIT)
    lost = usable & ~converged & ~impossible
    converged &= ~strong
    if not converged.all():
        solution[:, ~converged] = np.nan
    outside = {
        **columns.outside,
        "ionic strength above 0.5 mol/kg, where the activity model ends": strong,
        "alkalinity impossible at the pH: hydroxide alone exceeds it": impossible,
    }
    _warn(outside, converged & (columns.temperature > PUBLISHED_TEMPERATURES[1]), lost)
    return _record(columns, held, solution, converged, impossible)


def _shared(temperature: Floats) -> Floats:
    """Return one temperature where all waters share it: then its constants are needed once."""
    return temperature[:1] if np.all(temperature == temperature[0]) else temperature


def _columns(
    totals: Totals,
    held: Held,
    values: ArrayLike,
    temperature: ArrayLike,
    known: Floats | None,
    partners: int,
) -> _Columns:
    """Lay the inputs out for the solver and sort out what it cannot take."""
    given_shapes = (np.shape(each) for each in (totals.calcium, totals.carbonate, values))
    shape = np.broadcast_shapes(*given_shapes, np.shape(temperature))
    size = int(np.prod(shape))

    def column(values: ArrayLike) -> Floats:
        return np.broadcast_to(np.asarray(values, dtype=np.float64), shape).ravel()

    given = {field.name: column(getattr(totals, field.name)) for field in fields(Totals)}
    heat, kept = column(temperature), column(values)
    amounts = np.empty((4 + partners, size))
    amounts[0] = given["chloride"]
    np.maximum(given["sulfate"], _NONE, out=amounts[1])
    amounts[2] = given["alkalinity"]
    for row, name in zip(amounts[4:], _PARTNERS, strict=False):
        row[:] = given[name]
    negative = np.minimum.reduce(amounts[4:]) < 0.0
    negative |= (amounts[0] < 0.0) | (given["sulfate"] < 0.0)
    if held in (Held.CARBONATE, Held.CALCITE):
        negative |= kept < 0.0
        np.maximum(kept, _NONE, out=amounts[3])
    else:
        amounts[3] = kept

    total = np.add.reduce(amounts, axis=0)
    total += heat
    missing = np.isnan(total)
    before = np.empty((0, size))
    if known is not None:
        before = np.stack([column(row) for row in known])
        missing |= np.isnan(before[0])
    off = (heat < PUBLISHED_TEMPERATURES[0]) | (heat > HIGHEST_TEMPERATURE)
    bad = (negative | np.isinf(total)) & ~missing
    off &= ~missing
    impossible = np.zeros(size, dtype=np.bool_)
    if held is Held.PH:
        # The activity of hydroxide is less than its amount: what it exceeds cannot be.
        alkaline = (kept < -7.0 * LN10) & ~(missing | bad | off)
        hydroxide = np.exp(LN10 * log_k(WATER, heat) - kept)
        impossible = alkaline & (hydroxide > amounts[2] + 3.0 * np.exp(kept))
    return _Columns(
        shape,
        given,
        heat,
        amounts,
        before,
        ~(missing | bad | off | impossible),
        impossible,
        {
            "negative or unbounded amounts": bad,
            "temperature outside 0 to 130 deg C": off,
        },
    )


def _record(
    columns: _Columns, held: Held, solution: Floats, converged: Flags, impossible: Flags
) -> tuple[Speciation, Floats]:
    """Write the solution as a record in the shape of the inputs."""
    given = columns.totals
    carbonate = solution[CARBONATE_TOTAL]
    if held in (Held.CARBONATE, Held.CALCITE):
        carbonate = given["carbonate"]
    decimal = solution / LN10
    decimal[LN_SULFATE, converged & (given["sulfate"] == 0.0)] = -np.inf
    if held is not Held.CALCITE:
        decimal[LN_CARBONATE, converged & (carbonate <= 0.0)] = -np.inf
    log_calcium, log_magnesium, log_sodium, log_potassium, *silica = decimal[LN_PARTNERS]
    log_silica = silica[0] if silica else np.where(converged, -np.inf, np.nan)

    def shaped(values: Floats) -> Floats:
        return values.reshape(columns.shape)[()]

    totals = {**given, "carbonate": carbonate}
    speciation = Speciation(
        totals=Totals(**{name: shaped(column) for name, column in totals.items()}),
        temperature=shaped(columns.temperature),
        ph=shaped(-decimal[LN_HYDROGEN]),
        ionic_strength=shaped(solution[STRENGTH]),
        log_water=shaped(decimal[LN_WATER]),
        log_calcium=shaped(log_calcium),
        log_magnesium=shaped(log_magnesium),
        log_sodium=shaped(log_sodium),
        log_potassium=shaped(log_potassium),
        log_carbonate=shaped(decimal[LN_CARBONATE]),
        log_sulfate=shaped(decimal[LN_SULFATE]),
        log_silica=shaped(log_silica),
        converged=converged.reshape(columns.shape)[()],
        impossible=impossible.reshape(columns.shape)[()],
    )
    return speciation, shaped(solution[CALCIUM_TOTAL])


def _warn(outside: dict[str, Flags], extrapolated: Flags, lost: Flags) -> None:
    """Say once for all waters what was left empty, and why."""
    for reason, which in outside.items():
        count = int(np.count_nonzero(which))
        if count:
            _say(f"{count} of {which.size} waters left empty: {reason}", OutsideValidityWarning)
    count = int(np.count_nonzero(extrapolated))
    if count:
        _say(f"constants used beyond 100 deg C for {count} waters", ExtrapolationWarning)
    count = int(np.count_nonzero(lost))
    if count:
        _say(f"{count} of {lost.size} waters did not converge: left empty", ConvergenceWarning)


def _say(text: str, category: type[Warning]) -> None:
    """Warn at the line that called the public function."""
    warnings.warn(text, category, stacklevel=5)
