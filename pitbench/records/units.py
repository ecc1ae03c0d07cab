"""°C or °F, mm or inch: how a stored number is shown and how a bare typed one is read, by the team's settings.

Stored is always °C and mm; a setting changes what is shown and typed, never a record. No screen converts by itself.
"""

from dataclasses import dataclass

from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Source
from pitbench.records.numbers import INCH_MM, Unreadable, read_number, shown
from pitbench.records.team import team_of

_FINER = {"in": 2}
"""Places an inch shows more than a millimetre would."""
_MOST_TYPED = 5
"""More places than that nobody typed: 71 °F are 21.666666667 °C."""


@dataclass(frozen=True)
class Units:
    """The units of one logbook's screens: `temperature` C or F, `length` mm or in."""

    temperature: str = "C"
    length: str = "mm"

    def unit(self, name: str) -> str:
        """What is written behind a number of this quantity.

        >>> Units("F").unit("ambient_c"), Units(length="in").unit("tyre_diameter_mm"), Units().unit("spur")
        ('°F', 'in', '')
        """
        stored = QUANTITIES[name].unit
        if stored == "°C":
            return f"°{self.temperature}"
        return self.length if self._is_length(name) else stored

    def typed(self, name: str, value: float) -> str:
        """A stored number as a form shows it: every digit, read back to the same number.

        >>> Units("F").typed("ambient_c", 30.0), Units().typed("ambient_c", 30.5)
        ('86', '30.5')
        """
        return shown(round(self._converted(name, value), 9)) if self._differs(name) else shown(value)

    def in_field(self, name: str, value: float) -> str:
        """A stored number as a field shows it, the tail that another unit left cut off; the record stands beside.

        >>> Units().in_field("ambient_c", 21.666666667), Units().in_field("ambient_c", 21.25)
        ('21.7', '21.25')
        """
        text = self.typed(name, value)
        return text if len(text.partition(".")[2]) <= _MOST_TYPED else self.in_words(name, value)

    def in_words(self, name: str, value: float) -> str:
        """A stored number in a line of words: no place more than its quantity shows, and no nought behind.

        >>> Units().in_words("ambient_c", 21.666666667), Units().in_words("test_voltage_v", 3.7)
        ('21.7', '3.7')
        """
        return shown(float(self.short(name, value)))

    def short(self, name: str, value: float | None, decimals: int | None = None) -> str:
        """A stored number as a list shows it, without its unit; a dot for none.

        >>> Units("F").short("finish_reading_c", 70.0, 0), Units(length="in").short("tyre_diameter_mm", 62.5)
        ('158', '2.461')
        """
        if value is None:
            return "·"
        places = QUANTITIES[name].decimals if decimals is None else decimals
        return f"{self._converted(name, value):.{places + _FINER.get(self.unit(name), 0)}f}"

    def read(self, name: str, text: str) -> float:
        """A typed number in the stored unit; a bare one is in the unit shown. Raises Unreadable."""
        quantity = QUANTITIES[name]
        if not self._differs(name):
            return read_number(text, quantity)
        try:
            return read_number(text, quantity, {"°F": "f", "in": "in"}[self.unit(name)])
        except Unreadable as why:
            ends = " to ".join(shown(end) for end in quantity.possible)
            own = " to ".join(shown(round(self._converted(name, end), 2)) for end in quantity.possible)
            possible = f"{own} {self.unit(name)}"
            raise Unreadable(str(why).replace(f"{ends} {quantity.unit}", possible)) from None

    def degrees(self, value: float, decimals: int = 0) -> str:
        """A temperature in a sentence: '72 °C'.

        >>> Units("F").degrees(20.0)
        '68 °F'
        """
        return f"{self.warmth(value):.{decimals}f} °{self.temperature}"

    @property
    def per_kelvin(self) -> float:
        """Degrees shown in one K."""
        return 9 / 5 if self.temperature == "F" else 1.0

    def apart(self, kelvin: float) -> str:
        """How far two temperatures lie apart.

        >>> Units("F").apart(5.0), Units().apart(4.4)
        ('9 °F', '4 °C')
        """
        return f"{kelvin * self.per_kelvin:.0f} °{self.temperature}"

    def give_or_take(self, value: float, half_k: float) -> str:
        """A temperature with half the width of its middle nine tenths; without, where that is under half a degree.

        >>> Units("F").give_or_take(50.0, 5.0), Units().give_or_take(24.0, 0.1)
        ('122 ±9 °F', '24 °C')
        """
        half = f"{half_k * self.per_kelvin:.0f}"
        return f"{self.warmth(value):.0f}{'' if half == '0' else f' ±{half}'} °{self.temperature}"

    def warmth(self, value: float) -> float:
        """A stored temperature as a number in the unit shown."""
        return value * 9 / 5 + 32 if self.temperature == "F" else value

    def _is_length(self, name: str) -> bool:
        return QUANTITIES[name].unit == "mm" and name != "module"

    def _differs(self, name: str) -> bool:
        return self.unit(name) != QUANTITIES[name].unit

    def _converted(self, name: str, value: float) -> float:
        if not self._differs(name):
            return value
        return value / INCH_MM if self._is_length(name) else self.warmth(value)


def units_of(source: Source) -> Units:
    """The units the team has set."""
    team = team_of(next(iter(source.rows("settings")), None))
    return Units(team.temperature_unit, team.length_unit)
