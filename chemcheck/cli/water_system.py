"""Options of ``water`` about the system that the water is meant for."""

from typing import TYPE_CHECKING, Any

import click

from chemcheck.cli import options
from chemcheck.cli.quantities import (
    AREA,
    EFFICIENCY,
    HEAT_FLUX,
    SHARE_OF_A_MIX,
    THERMAL_CONDUCTIVITY,
    TOP_UPS,
    VOLUME,
)

if TYPE_CHECKING:
    from chemcheck.remedies.system_in_use import SystemInUse

# Option, the field it fills, its kind, and what help says of it.
OPTIONS: tuple[tuple[str, str, Any, str], ...] = (
    ("system", "system", VOLUME, "What the whole system holds: reckons the deposit."),
    ("drains", "drains", VOLUME, "What drains of it: reckons the water held back by a rinse."),
    ("fill", "fill", SHARE_OF_A_MIX, "Percent of the finished fill; 50 % if not said."),
    ("concentrate", "strength", SHARE_OF_A_MIX, "Its strength; 100 % if not said."),
    ("mixing", "efficiency", EFFICIENCY, "Efficiency of mixing in a rinse; 1 if not said."),
    ("top-ups", "top_ups", TOP_UPS, "Water topped up: '26 L' or '26 x 1 L'."),
    ("loss", "loss", click.Choice(["leak", "evaporation"]), "What was topped up."),
    ("hot-area", "hot_area", AREA, "Of the hot faces: reckons the thickness."),
    ("heat-flux", "heat_flux", HEAT_FLUX, "Through them: reckons how much hotter metal gets."),
    (
        "scale-conductivity",
        "conductivity",
        THERMAL_CONDUCTIVITY,
        "Of the scale for heat; 1 to 2 W/(m K) if not said, porous scale down to 0.1.",
    ),
)
_OWN = "system_"


def system_options(command: options.Command) -> options.Command:
    """Add the options."""
    for name, field, kind, said in reversed(OPTIONS):
        # Names of their own: the water has a conductivity too.
        command = click.option(f"--{name}", f"{_OWN}{field}", type=kind, help=said)(command)
    return command


def taken(given: dict[str, Any]) -> "SystemInUse | None":
    """Take the options of the system out of all that were given.

    Parameters
    ----------
    given : dict
        Of a command; what is taken is taken out.

    Returns
    -------
    SystemInUse or None
        None where nothing was said of a system.

    Raises
    ------
    click.UsageError
        If something was said of it, but not its volume, or a heat flux without an area.
    """
    found = {field: given.pop(f"{_OWN}{field}", None) for _, field, _, _ in OPTIONS}
    said = {field: value for field, value in found.items() if value is not None}
    if not said:
        return None
    names = {field: name for name, field, _, _ in OPTIONS}
    if "system" not in said:
        problem = f"--{names[next(iter(said))]} needs --system, what the whole system holds"
        raise click.UsageError(problem)
    if "heat_flux" in said and "hot_area" not in said:
        problem = "--heat-flux needs --hot-area, the area of the hot faces"
        raise click.UsageError(problem)
    from chemcheck.remedies.system_in_use import SystemInUse

    return SystemInUse(**said)
