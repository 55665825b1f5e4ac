"""``chemcheck margins``: to freezing, to boiling, and at the pump's inlet."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from chemcheck.cli import options
from chemcheck.cli.messages import DONE
from chemcheck.cli.quantities import (
    AIR,
    ALTITUDE,
    BRIX,
    BURST_POINT,
    CAP,
    COLDEST,
    DENSITY,
    DIFFERENCE,
    LENGTH,
    NUMBER,
    PRESSURE,
    SHARE_OF_A_MIX,
    SPEED,
    STATED_SHARE,
    TEMPERATURE,
    VOLUME,
)

if TYPE_CHECKING:
    from chemcheck.remedies.estimate import Estimate

EPILOG = """
Every quantity takes its unit in its text and may be a range: "95 C", "10-30 kPa". A cap's
rating is a gauge pressure.

\b
Examples:
  chemcheck margins --glycol ethylene --glycol-percent "50 %" --cap "15 psi" --coldest "-30 C"
  chemcheck margins --glycol EG --freezing-point "-30 C" --inlet-temperature "95 C"
"""
# What says which coolant it is; the rest says where it works.
COOLANT = ("freezing_point", "refractive_index", "brix", "density", "temperature", "scale")


@click.command("margins", epilog=EPILOG)
@click.option("--glycol-percent", type=STATED_SHARE, help="Share of glycol, as '50 vol%'.")
@click.option("--freezing-point", type=TEMPERATURE, help="As measured, such as '-37 C'.")
@click.option("--refractive-index", type=NUMBER, help="At 20 C, such as 1.3866.")
@click.option("--brix", type=BRIX, help="Refractometer's reading on the scale for sugar.")
@click.option("--density", type=DENSITY, help="As '1.073 kg/L'; a number alone: relative.")
@click.option("--temperature", type=TEMPERATURE, help="Of the sample when it was read.")
@click.option("--glycol", metavar="NAME", help="ethylene or propylene; both if not said.")
@click.option("--basis", metavar="NAME", help="Whose percent: inhibited or pure; both if not said.")
@click.option("--scale", metavar="NAME", help="Glycol of the refractometer's freezing scale.")
@click.option("--cap", type=CAP, help="Rating of the pressure cap, as '15 psi'.")
@click.option("--cap-opens", type=CAP, help="Where a test found it to open.")
@click.option("--altitude", type=ALTITUDE, help="Above the sea, as '2500 m'.")
@click.option("--ambient-pressure", type=AIR, help="Of the air, instead of the altitude.")
@click.option("--inlet-temperature", type=TEMPERATURE, help="Of the coolant at the pump's inlet.")
@click.option("--suction-loss", type=PRESSURE, help="From the cap to the pump's inlet.")
@click.option("--needed-head", type=LENGTH, help="What the pump needs there, as '3 m'.")
@click.option("--impeller", type=LENGTH, help="Its diameter, as '60 mm'.")
@click.option("--speed", type=SPEED, help="Of the pump in turns a minute, as 5000.")
@click.option(
    "--pump-side",
    type=click.Choice(["radiator", "engine"]),
    help="Whose outlet the pump draws.",
)
@click.option("--coldest", type=COLDEST, help="Coldest temperature expected; deg C if bare.")
@click.option("--safety", type=DIFFERENCE, help="Still liquid so much below it, as '5 C'.")
@click.option(
    "--burst",
    type=BURST_POINT,
    multiple=True,
    help="A line of the maker's table of burst protection, as '50 %=-51 C'; repeat.",
)
@click.option("--system", type=VOLUME, help="Volume of the system, for litres to swap.")
@click.option("--concentrate", type=SHARE_OF_A_MIX, help="Its strength; 100 % if not said.")
@click.option("--chart", type=click.Path(path_type=Path), metavar="FILE", help="Draw PNG or SVG.")
@options.form()
def command(
    glycol_percent: "tuple[Estimate, str] | None",
    glycol: str | None,
    basis: str | None,
    concentrate: "Estimate | None",
    ambient_pressure: "Estimate | None",
    coldest: "tuple[Estimate, bool] | None",
    chart: Path | None,
    form: str,
    **given: Any,
) -> int:
    """Reckon how far a coolant is from freezing, boiling, and boiling at the pump.

    The share of glycol is stated, or comes from what was measured; methods that exclude each
    other are told. Boiling and the pump's inlet are given for the cap as rated, weak and dead.
    """
    from chemcheck.assessment.glycol_share import Measured, glycol_share
    from chemcheck.assessment.margins import margins
    from chemcheck.assessment.margins_record import Setting
    from chemcheck.reports.bench_text import WRITERS
    from chemcheck.reports.margins_page import margins_page

    percent, counts = glycol_percent or (None, "")
    read = {key: given.pop(key) for key in COOLANT}
    share = glycol_share(Measured(percent, counts, **read), glycol, basis)
    cold, with_unit = coldest or (None, True)
    setting = Setting(
        ambient=ambient_pressure,
        strength=concentrate,
        coldest=cold,
        coldest_has_unit=with_unit,
        **given,
    )
    answer = margins(share, setting)
    if chart is not None:
        from chemcheck.reports.margins_chart import write_margins_chart

        write_margins_chart(answer, chart)
    click.echo(WRITERS[form](margins_page(answer)), nl=False)
    return DONE
