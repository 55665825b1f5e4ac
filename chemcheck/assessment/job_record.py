"""What was done in a job and found by hand, as a person keeps it in a YAML file.

.. code-block:: yaml

    unit: HT-04                        # as in the readings
    identity:                          # anything that says which machine and which job
      machine: haul truck, 12 L engine
      odometer: 148300 km
    complaint: pump weeps, coolant rusty
    history:                           # what was done before, a line each
      - 2031-01-20 topped up with 2 L of tap water
    before: K-0258                     # sample numbers in the readings
    after: K-0300
    tests:                             # what was found, in words
      cap: rated 103 kPa, opened at 98 kPa, vacuum valve holds
      pressure test: 100 kPa for 10 min, held
      combustion leak: block test, no change of colour
      voltage, all off: 0.04 V
    system: 12 L
    drains: 8 L                        # what comes out each time
    mixing: 90 %                       # of each rinse; perfect if not said
    rinse_start: 50 %                  # glycol or conductivity before the first rinse
    rinse_water: 20 uS/cm              # what the rinse water itself reads
    rinses:                            # in order; a litre count or a reading may be missing
      - {in: 8 L, out: 8 L, reading: 17 %}
      - {in: 8 L, out: 8 L, reading: 5.8 %}
    water: W-003                       # what was filled: a sample number, or words
    refill: {concentrate: 6 L, water: 2 L, strength: 100 %, measured: 49 %, method: refractometer}
    teardown:
      - rust and lime in the weep trail
    parts:
      pump: number 4711, batch 12
    not_known:
      - who filled the old coolant
    done_by: J. Example
    date: 2031-03-14

Every key may be missing: what is not recorded is a blank line on the evidence page.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

from chemcheck.errors import QuantityError
from chemcheck.limit_library.located_yaml import Located, read_yaml
from chemcheck.remedies.estimate import Estimate
from chemcheck.remedies.quantity_text import read_amount
from chemcheck.remedies.rinse_text import read_rinse_reading
from chemcheck.remedies.share_text import read_efficiency, read_share

# What was read, glycol or conductivity, and the value [% or uS/cm].
Reading = tuple[str, Estimate]
Value = TypeVar("Value")
_NONE: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class RinseDone:
    """One rinse.

    Parameters
    ----------
    filled, drained : Estimate or None
        Litres in and out [L].
    reading : tuple of str and Estimate, or None
        What was read after it.
    """

    filled: Estimate | None = None
    drained: Estimate | None = None
    reading: Reading | None = None


@dataclass(frozen=True, slots=True)
class RefillDone:
    """What was filled in the end.

    Parameters
    ----------
    concentrate, water : Estimate or None
        Litres [L].
    strength, measured : Estimate or None
        Percent of the concentrate, and of the mix once it was measured [%].
    method : str
        How it was measured.
    """

    concentrate: Estimate | None = None
    water: Estimate | None = None
    strength: Estimate | None = None
    measured: Estimate | None = None
    method: str = ""


@dataclass(frozen=True, slots=True)
class JobRecord:
    """A job as it was recorded; what is missing is empty or None.

    Parameters
    ----------
    file : str
        The file as the user named it.
    unit, complaint, before, after, water, done_by, date : str
        Texts of the same keys.
    identity, tests, parts : mapping of str to str
        Labels with what was found.
    history, teardown, not_known : tuple of str
        Lines.
    system, drains, mixing : Estimate or None
        Volumes [L] and mixing efficiency [%].
    rinse_start, rinse_water : tuple of str and Estimate, or None
        Readings before the first rinse, and of the rinse water.
    rinses : tuple of RinseDone
        In order.
    refill : RefillDone
        What was filled.
    """

    file: str
    unit: str = ""
    complaint: str = ""
    before: str = ""
    after: str = ""
    water: str = ""
    done_by: str = ""
    date: str = ""
    identity: Mapping[str, str] = field(default_factory=lambda: _NONE)
    tests: Mapping[str, str] = field(default_factory=lambda: _NONE)
    parts: Mapping[str, str] = field(default_factory=lambda: _NONE)
    history: tuple[str, ...] = ()
    teardown: tuple[str, ...] = ()
    not_known: tuple[str, ...] = ()
    system: Estimate | None = None
    drains: Estimate | None = None
    mixing: Estimate | None = None
    rinse_start: Reading | None = None
    rinse_water: Reading | None = None
    rinses: tuple[RinseDone, ...] = ()
    refill: RefillDone = field(default_factory=RefillDone)


def read_job(path: str | Path) -> JobRecord:
    r"""Read a job record.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    JobRecord
        What it says.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder, "job.yaml")
    ...     _ = file.write_text("unit: HT-04\nsystem: 12 L\nrinses: [{out: 8 L}, {out: 8 L}]\n")
    ...     job = read_job(file)
    >>> job.unit, float(job.system.value), len(job.rinses)
    ('HT-04', 12.0, 2)
    """
    whole, _ = read_yaml(Path(path), str(path))
    fields = whole.fields((*_TEXTS, *_LABELLED, *_LINES, *_QUANTITIES, "rinses", "refill"))
    found: dict[str, object] = {key: fields[key].text() for key in _TEXTS if key in fields}
    found |= {key: _labelled(fields[key]) for key in _LABELLED if key in fields}
    found |= {
        key: tuple(line.text() for line in fields[key].one_or_more())
        for key in _LINES
        if key in fields
    }
    found |= {key: read(fields[key]) for key, read in _QUANTITIES.items() if key in fields}
    if "rinses" in fields:
        found["rinses"] = tuple(map(_rinse, fields["rinses"].entries()))
    if "refill" in fields:
        found["refill"] = _refill(fields["refill"])
    return JobRecord(file=str(path), **found)  # type: ignore[arg-type]  # each by its own reader


def _labelled(node: Located) -> Mapping[str, str]:
    return {label: value.text() for label, value in node.mapping().items()}


def _quantity(read: Callable[[str, str], Value]) -> Callable[[Located], Value]:
    """Read a quantity from its text; what is wrong with it is said with its place."""

    def of(node: Located) -> Value:
        try:
            return read(node.text(), "the quantity")
        except QuantityError as error:
            raise node.error(str(error)) from None

    return of


_volume = _quantity(lambda text, name: read_amount(text, name, "L", "8 L"))
_share = _quantity(lambda text, name: read_share(text, name, of_a_mix=False)[0])
_mix = _quantity(lambda text, name: read_share(text, name)[0])
_reading = _quantity(read_rinse_reading)
_efficiency = _quantity(read_efficiency)

_TEXTS = ("unit", "complaint", "before", "after", "water", "done_by", "date")
_LABELLED = ("identity", "tests", "parts")
_LINES = ("history", "teardown", "not_known")
_QUANTITIES: Mapping[str, Callable[[Located], object]] = {
    "system": _volume,
    "drains": _volume,
    "mixing": _efficiency,
    "rinse_start": _reading,
    "rinse_water": _reading,
}


def _rinse(node: Located) -> RinseDone:
    fields = node.fields(("in", "out", "reading"))
    return RinseDone(
        filled=_volume(fields["in"]) if "in" in fields else None,
        drained=_volume(fields["out"]) if "out" in fields else None,
        reading=_reading(fields["reading"]) if "reading" in fields else None,
    )


def _refill(node: Located) -> RefillDone:
    fields = node.fields(("concentrate", "water", "strength", "measured", "method"))
    volumes = {key: _volume(fields[key]) for key in ("concentrate", "water") if key in fields}
    return RefillDone(
        **volumes,
        strength=_mix(fields["strength"]) if "strength" in fields else None,
        measured=_share(fields["measured"]) if "measured" in fields else None,
        method=fields["method"].text() if "method" in fields else "",
    )
