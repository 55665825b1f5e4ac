"""The distinct texts of a column of readings as intervals in the canonical unit."""

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from chemcheck.analytes import (
    Analyte,
    UnitReading,
    analyte,
    read_unit,
    stored_basis,
    to_canonical,
)
from chemcheck.errors import UnitError
from chemcheck.intake.cell_records import (
    EITHER,
    PER_MASS,
    PER_VOLUME,
    CellValues,
    Measured,
    Said,
)
from chemcheck.intake.cells import (
    AMBIGUOUS,
    NOT_DETECTED,
    OVER_RANGE,
    ParsedCells,
    ordered_words,
    parse_cells,
)
from chemcheck.intake.choices import NOT_DETECTED as BELOW_DETECTION
from chemcheck.intake.choices import NOT_MEASURED, Choices, Kit
from chemcheck.intake.headers import Header
from chemcheck.intake.kits import (
    about_drops,
    counts_drops,
    drop_worth,
    kit_of,
    of_drops,
    unit_of_number,
)
from chemcheck.intake.pads import UNKNOWN_LOT, chart_of, is_widened, open_problem, read_pads
from chemcheck.limit_library.records import Method
from chemcheck.readings.record import BLANK, READ, REJECTED
from chemcheck.units import LinearMap

_ZEROS = {NOT_MEASURED: BLANK, BELOW_DETECTION: NOT_DETECTED}
_ONE_UNIT = ("pH", "number")  # dimensions of which nobody writes the unit
_SHARES_OF_A_MIX = ("glycol", "coolant_concentrate")
_HOW_TO_SAY = "in the title, or in a columns file (--columns)"
_BY_DENSITY = "per mass: times the densities that coolant of its glycol content may have"
_NO_LIMIT = "not detected, without a limit; expected one as in <0.5, or a method that has one"
_REFRACTOMETER = "refractometer"
_BY_REFRACTION = ("glycol", "coolant_concentrate", "freezing_point")
_NO_SCALE = (
    "by refractive index, whose scale is made for glycol in water and means nothing in glycerol "
    "mixes and waterless coolants"
)
_NO_TOP = "above the range, without a number; expected one as in >300"


class ColumnReader:
    """One column of readings: its texts are parsed once, whatever they were measured by.

    Parameters
    ----------
    header : Header
        What the column is.
    texts : pyarrow string array, shape (n,)
        Its distinct texts.
    choices : Choices
        What the user settled.
    decimal : {".", ","} or None
        The file's decimal mark.
    kit : Kit or None
        What the user says of the column's own kit.
    zero : str or None
        What a 0 means, where the user says it.
    """

    def __init__(
        self,
        header: Header,
        texts: pa.Array,
        choices: Choices,
        decimal: str | None,
        kit: Kit | None = None,
        zero: str | None = None,
    ) -> None:
        assert header.analyte is not None
        self.header, self.choices = header, choices
        self.analyte: Analyte = analyte(header.analyte)
        self.kit = kit_of(self.analyte.key, kit, choices)
        self.floor = 0.0 if self.analyte.possible[0] >= 0 else -np.inf
        if self.analyte.words:
            self.parsed: ParsedCells = ordered_words(texts, self.analyte)
        else:
            mix = self.analyte.key in _SHARES_OF_A_MIX
            self.parsed = parse_cells(texts, decimal, floor=self.floor, mix=mix)
        if zero in _ZEROS:
            is_zero = (self.parsed.kind == READ) & (self.parsed.upper == 0)
            self.parsed.kind[is_zero] = _ZEROS[zero]
            self.parsed.lower[is_zero] = self.parsed.upper[is_zero] = np.nan
        self.said = Said()
        self.assumed: dict[str, None] = {}

    def values(self, measured: Measured) -> CellValues:
        """Return what each distinct text means if it was measured in this way."""
        parsed = self.parsed
        values = CellValues.blank(len(parsed.kind))
        self._carry_over(values)
        read = np.flatnonzero(parsed.kind == READ)
        units = parsed.unit[read]
        for code in np.unique(units).tolist():
            self._convert(values, read[units == code], code, measured)
        self._without_number(values, measured)
        self._at_pads(values, measured)
        self._check(values, measured)
        self._refuse_refraction(values, measured)
        return values

    def factors(self, measured: Measured) -> npt.NDArray[np.float64]:
        """Return how much of the canonical unit one of each text's own unit is; NaN unknown.

        Parameters
        ----------
        measured : Measured
            How the readings were measured.
        """
        factors = np.full(len(self.parsed.kind), np.nan)
        for code in np.unique(self.parsed.unit).tolist():
            try:
                text = self._unit_text(code, measured.material)
                change = LinearMap(np.nan) if counts_drops(text) else self._unit(text, measured)[0]
            except UnitError:
                continue
            factors[self.parsed.unit == code] = abs(change.factor)
        return factors

    @property
    def basis(self) -> str | None:
        """The basis that the column's readings stand on."""
        stated = self.header.basis
        if stated is None and self.header.unit_text is not None:
            stated = read_unit(self.analyte.key, self.header.unit_text).basis
        return stored_basis(self.analyte.key, stated)

    def _carry_over(self, values: CellValues) -> None:
        """Take over what the texts alone say."""
        parsed = self.parsed
        problems, questions = (
            np.array([*map(self.said.number, texts), -1], dtype=np.int32)
            for texts in (parsed.problems, parsed.questions)
        )
        values.status[(parsed.kind == REJECTED) | (parsed.kind == AMBIGUOUS)] = REJECTED
        values.problem[:] = np.where(parsed.kind == AMBIGUOUS, -1, problems[parsed.problem])
        values.open[:] = np.where(parsed.kind == AMBIGUOUS, problems[parsed.problem], -1)
        values.question[:] = questions[parsed.question]

    def _convert(
        self, values: CellValues, places: npt.NDArray[np.int64], code: int, measured: Measured
    ) -> None:
        """Bring readings in one unit to the canonical one."""
        ends = self.parsed.lower[places], self.parsed.upper[places]
        try:
            text = self._unit_text(code, measured.material)
            if counts_drops(text):
                lower, upper, counts = *self._of_drops(*ends, measured), PER_VOLUME
            else:
                change, counts = self._unit(text, measured)
                lower, upper = map(change, ends)
        except UnitError as error:
            values.status[places] = REJECTED
            said = values.open if code < 0 else values.problem
            said[places] = self.said.number(str(error))
            return
        values.status[places] = READ
        values.lower[places], values.upper[places] = lower, upper
        values.counts[places] = counts

    def _unit_text(self, code: int, material: str) -> str | None:
        """Return the unit of some cells as written; None for words."""
        if self.analyte.words:
            return None
        if self.header.problem is not None:
            raise UnitError(self.header.problem)
        stated = self.parsed.units[code] if code >= 0 else self.header.unit_text
        if code < 0:
            self._note_usual_basis()
        return unit_of_number(stated, self.kit) or self._usual_unit(material)

    def _of_drops(
        self, lower: npt.NDArray[np.float64], upper: npt.NDArray[np.float64], measured: Measured
    ) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
        """Return what counted drops span."""
        worth = drop_worth(self.analyte, self.kit, measured.method)
        said = about_drops(self.analyte, worth)
        if said:
            self.assumed.setdefault(said)
        low, high = of_drops(lower, upper, worth)
        return low * self.kit.dilution, high * self.kit.dilution

    def _unit(self, text: str | None, measured: Measured) -> tuple[LinearMap, np.int8]:
        """Return the way to the canonical unit, and what the unit counts."""
        if text is None:
            return LinearMap(1.0), PER_VOLUME
        key, header = self.analyte.key, self.header
        unit = read_unit(key, text)
        if header.choices and unit.form is None:
            forms = ", ".join(header.choices)
            problem = f"{header.title!r} may be written as {forms}: say which {_HOW_TO_SAY}"
            raise UnitError(problem)
        if unit.basis is not None and stored_basis(key, unit.basis) != self.basis:
            problem = f"{text!r} is on another basis than the column"
            raise UnitError(problem)
        self._note_taken_as_caco3(text, unit)
        form = header.form if unit.form is None else None
        basis = header.basis if unit.basis is None else None
        diluted = LinearMap(self.kit.dilution)
        one, two = (
            to_canonical(key, text, form=form, basis=basis, density=density).then(diluted)
            for density in (1.0, 2.0)
        )
        on_strip = measured.method is not None and measured.method.kind == "strip"
        if one == two or measured.material == "water" or on_strip:
            return one, PER_VOLUME
        if unit.unit.dimension != "ppm" or self.choices.ppm == "mg/kg":
            self.assumed.setdefault(_BY_DENSITY)
            return one, PER_MASS
        return one, PER_VOLUME if self.choices.ppm == "mg/L" else EITHER

    def _note_taken_as_caco3(self, text: str, unit: UnitReading) -> None:
        """Say that plain mg/L of hardness or alkalinity are taken as CaCO3."""
        stated = unit.form or self.header.form
        by_mass = unit.unit.dimension == "mass concentration" and unit.unit.symbol != "gpg"
        if by_mass and not stated and self.analyte.dimension == "as calcium carbonate":
            self.assumed.setdefault(f"{self.analyte.title} in {text} is taken as CaCO3")

    def _note_usual_basis(self) -> None:
        """Say which basis is meant where nobody states it."""
        bases = self.analyte.bases
        if self.header.basis is None and len(bases) > 1 and self.basis == bases[0].key:
            self.assumed.setdefault(f"basis not stated: {bases[0].title}")

    def _usual_unit(self, material: str) -> str:
        """Return the unit of cells for which none is stated."""
        known = self.analyte
        usual = known.usual_unit.get(material)
        if usual is None:
            units = ", ".join(known.choices)
            problem = f"no unit: {known.title} is written in {units}; say which {_HOW_TO_SAY}"
            raise UnitError(problem)
        if not self.header.choices and known.dimension not in _ONE_UNIT:
            form = f" of {known.formula}" if known.forms and self.header.form is None else ""
            self.assumed.setdefault(f"no unit stated: taken as {usual}{form}, usual in {material}")
        return usual

    def _without_number(self, values: CellValues, measured: Measured) -> None:
        """Read what is below or above the range of its method."""
        chart = chart_of(self.analyte.key, measured.method, self.choices)
        for kind, pad, problem in ((NOT_DETECTED, 0, _NO_LIMIT), (OVER_RANGE, -1, _NO_TOP)):
            places = np.flatnonzero(self.parsed.kind == kind)
            if not len(places):
                continue
            limit = self._detection_limit(measured.method) if kind == NOT_DETECTED else None
            if chart is not None:
                ends = (chart.steps[pad], chart.steps[pad])
            elif limit is not None:
                ends = (self.analyte.possible[0], limit)
                below = f"{limit:g} {self.analyte.unit}"
                self.assumed.setdefault(f"not detected: below the method's limit of {below}")
            else:
                values.status[places] = REJECTED
                values.problem[places] = self.said.number(problem)
                continue
            values.status[places] = READ
            values.lower[places], values.upper[places] = ends

    def _detection_limit(self, method: Method | None) -> float | None:
        precision = None if method is None else method.precision.get(self.analyte.key)
        return None if precision is None else precision.detection_limit

    def _at_pads(self, values: CellValues, measured: Measured) -> None:
        """Let readings of a strip span what their pads do."""
        key = self.analyte.key
        chart = chart_of(key, measured.method, self.choices)
        if chart is None:
            return
        widened, without_lot = is_widened(key, measured, self.choices)
        if without_lot:
            self.assumed.setdefault(UNKNOWN_LOT)
        read_pads(
            values,
            self.parsed,
            chart,
            self.choices,
            floor=self.analyte.possible[0],
            widened=widened,
            open_choice=self.said.number(open_problem(chart, self.analyte.unit)),
        )

    def _refuse_refraction(self, values: CellValues, measured: Measured) -> None:
        """Refuse what a refractometer says of a mix that its scale is not made for."""
        by_index = measured.method is not None and measured.method.id == _REFRACTOMETER
        if not (by_index and measured.not_by_refraction and self.analyte.key in _BY_REFRACTION):
            return
        read = values.status == READ
        values.status[read] = REJECTED
        values.open[read] = self.said.number(_NO_SCALE)
        values.question[read] = -1
        values.lower[read] = values.upper[read] = np.nan

    def _check(self, values: CellValues, measured: Measured) -> None:
        """Refuse what is impossible, ask about what is unusual."""
        known = self.analyte
        least, most = known.possible
        np.copyto(values.lower, least, where=np.isneginf(values.lower))
        impossible = (values.lower > most) | (values.upper < least)
        if impossible.any():
            span = _span(known.possible, known.unit)
            values.status[impossible] = REJECTED
            values.problem[impossible] = self.said.number(f"impossible: expected {span}")
            values.lower[impossible] = values.upper[impossible] = np.nan
        least, most = known.usual.get(measured.material, known.possible)
        unusual = ((values.lower > most) | (values.upper < least)) & (values.question < 0)
        if unusual.any():
            span = _span((least, most), known.unit)
            question = f"unusual: {known.title} of {measured.material} is mostly {span}"
            values.question[unusual] = self.said.number(question)


def _span(ends: tuple[float, float], unit: str) -> str:
    if np.isinf(ends[1]):
        return f"{ends[0]:,.10g} {unit} or more"
    return f"{ends[0]:,.10g} to {ends[1]:,.10g} {unit}"
