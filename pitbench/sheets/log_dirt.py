"""Rows of a load log that are none, and columns that do not say what they seem to: found, counted and said.

Bytes all set where the memory held nothing, rows twice, time that runs backwards, numbers no car gives, channels that
are dead. What can be put right without guessing is; the rest is left out. Limits are common practice, no source.
"""

from collections import Counter
from typing import TYPE_CHECKING

from pitbench.records.spoken import counted_words
from pitbench.sheets import log_columns as columns
from pitbench.sheets.log_columns import CURRENT, DATE, DUTY, ERPM, MOTOR_CURRENT, RPM, THROTTLE, TIME, VOLTAGE, Used
from pitbench.sheets.log_rows import DAY_S

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from pitbench.sheets.log_rows import Numbers

    Mask = NDArray[np.bool_]

POSSIBLE = {
    TIME: (-1e12, 1e12),
    VOLTAGE: (-1.0, 100.0),
    CURRENT: (-500.0, 1000.0),
    MOTOR_CURRENT: (-500.0, 1000.0),
    RPM: (-300_000.0, 300_000.0),
    ERPM: (-2_000_000.0, 2_000_000.0),
    THROTTLE: (-1.5, 1.5),
    DUTY: (-1.5, 1.5),
    columns.MOTOR_TEMP: (-50.0, 250.0),
    columns.ESC_TEMP: (-50.0, 250.0),
}
_OF_A_ROW = (TIME, VOLTAGE, CURRENT, MOTOR_CURRENT, RPM, ERPM)
"""An impossible number among these makes a row rubbish; one of another column is unknown, and the row stands."""
_WIDE = (32_767.0, 65_535.0, 16_777_215.0, 2_147_483_647.0, 4_294_967_295.0)
_NARROW = (255.0, -1.0)
_DECIMALS = 4
_GAP = 10
"""Sample times between two parts of a log whose time began anew."""
_PARTS = 50
_NEW_START = 20
"""So many rows in a row that lie behind are a new start; fewer are left out."""
_STEP_V = 0.05


class Dirt:
    """Which rows are good, and how many are not, and why. Masks are over all rows of the file."""

    def __init__(self, good: "Mask") -> None:
        import numpy as np

        self.good = good.copy()
        self._counts: Counter[str] = Counter()
        self._first: dict[str, int] = {}
        self._notes: list[tuple[str, str]] = []
        self._count("broken", np.flatnonzero(~good))

    @property
    def unreadable(self) -> int:
        """Rows that are no sample."""
        return self._counts.total() - self.repeated

    @property
    def repeated(self) -> int:
        """Rows that stand there twice."""
        return self._counts["repeated"]

    def all_bits_set(self, raw: "list[Numbers]") -> None:
        """Rows of cells as memory holds them that was never written: 255, 65535 and so on, whatever their decimals."""
        import numpy as np

        patterns = np.sort([one / 10**by for one in (*_WIDE, *_NARROW) for by in range(_DECIMALS)])
        slack = 1e-9 * np.abs(patterns)
        is_wide = np.isin(patterns, [one / 10**by for one in _WIDE for by in range(_DECIMALS)])
        wide, hits = np.zeros(len(self.good), dtype=np.int8), np.zeros(len(self.good), dtype=np.int8)
        for numbers in raw:
            near = (np.searchsorted(patterns - slack, numbers, side="right") - 1).clip(min=0)
            hit = np.abs(numbers - patterns[near]) <= slack[near]
            if hit.any():
                hits += hit
                wide += hit & is_wide[near]
        narrow = hits - wide
        self._out("rubbish", ((wide >= 2) & (2 * wide >= len(raw) - 1)) | (narrow >= max(len(raw) - 1, 3)))

    def impossible(self, scaled: "dict[str, Numbers]", names: dict[str, str]) -> None:
        """Rows without a time, a voltage or a current, and rows no car gives; other such cells are unknown."""
        import numpy as np

        blank = ~np.isfinite(scaled[TIME]) | ~np.isfinite(scaled[VOLTAGE])
        currents = [scaled[what] for what in (CURRENT, MOTOR_CURRENT) if what in scaled]
        blank |= ~np.isfinite(currents).any(axis=0)
        self._out("blank", blank)
        for what, (low, high) in POSSIBLE.items():
            if what not in scaled:
                continue
            numbers = scaled[what]
            wrong = (numbers < low) | (numbers > high)
            if what in _OF_A_ROW:
                self._out("rubbish", wrong)
            elif count := int((wrong & self.good).sum()):
                numbers[wrong] = np.nan
                self._notes.append((names[what], f"is impossible in {counted_words(count, 'row')}: unknown there"))
            numbers[~np.isfinite(numbers)] = np.nan

    def in_time(self, scaled: "dict[str, Numbers]", clock: bool) -> None:
        """Rows that stand there twice or run backwards go; a clock that passes midnight or starts anew goes on, and
        rows that share one time are spread over the time to the next."""
        import numpy as np

        at = np.flatnonzero(self.good)
        if len(at) < 2:
            return
        time = scaled[TIME][at]
        if clock:
            time = time + DAY_S * np.concatenate([[0], np.cumsum(np.diff(time) < -DAY_S / 2)])
        if (np.diff(time) > 0).all():
            scaled[TIME][at] = time
            return
        others = [numbers[at] for what, numbers in scaled.items() if what != TIME]
        late = np.concatenate([[False], time[1:] <= np.maximum.accumulate(time)[:-1]])
        twice = _as_before(time, others) | _seen_before(time, late, others)
        kept = np.flatnonzero(~twice)
        time, behind = self._one_way(time[kept])
        self._count("repeated", at[twice])
        self._count("backwards", at[kept[behind]])
        kept, time = kept[~behind], self._spread(time[~behind])
        self.good[:] = False
        self.good[at[kept]] = True
        scaled[TIME][at[kept]] = time

    def _one_way(self, time: "Numbers") -> "tuple[Numbers, Mask]":
        """Times with new starts moved behind what came before, and which rows lie behind."""
        import numpy as np

        time = time.copy()
        rising = np.diff(time)
        step = float(np.median(rising[rising > 0])) if (rising > 0).any() else 1.0
        spike = np.zeros(len(time), dtype=bool)
        if len(time) > 3:  # ahead of all that follow, and what follows goes on from before it
            before, here, after, then = time[:-3], time[1:-2], time[2:-1], time[3:]
            spike[1:-2] = (after < here) & (after >= before) & (then < here)
        starts = 0
        while starts < _PARTS:
            top = np.maximum.accumulate(np.where(spike, -np.inf, time))
            behind = (time < top) & ~spike
            begins = np.flatnonzero(behind & ~np.concatenate([[False], behind[:-1]]))
            ends = np.flatnonzero(behind & ~np.concatenate([behind[1:], [False]]))
            long = np.flatnonzero(ends - begins + 1 >= _NEW_START)
            if not len(long):
                break
            at = int(begins[long[0]])
            time[at:] += top[at] + _GAP * step - time[at]
            starts += 1
        if starts:
            times = "once" if starts == 1 else f"{starts} times"
            self._notes.append(("time", f"begins anew {times}: what follows was put behind what came before"))
        return time, behind | spike

    def _spread(self, time: "Numbers") -> "Numbers":
        """Rows of one time spread evenly over the time to the next, as far as that is a usual one."""
        import numpy as np

        fresh = np.concatenate([[True], np.diff(time) > 0])
        if fresh.all():
            return time
        begins = np.flatnonzero(fresh)
        sizes = np.diff(np.append(begins, len(time)))
        steps = np.diff(time[begins])
        usual = float(np.median(steps)) if len(steps) else 1.0
        room = np.minimum(np.append(steps, usual), usual)
        place = np.arange(len(time)) - np.repeat(begins, sizes)
        count = counted_words(int((~fresh).sum()), "row")
        self._notes.append(("time", f"is the same in {count} as in the row before: spread evenly"))
        return np.asarray(time + np.repeat(room / sizes, sizes) * place)

    def notes(self) -> list[tuple[str, str]]:
        """What was found, as (what, clause)."""
        said = {
            "broken": "no row of numbers as wide as the others",
            "blank": "without a time, a voltage or a current",
            "rubbish": "rubbish, all bits set or no number a car gives",
            "backwards": "out of the order of time",
            "repeated": "there twice",
        }
        found = [
            ("rows", f"{counted_words(count, 'row')} {said[name]}, the first is row {self._first[name] + 1}: left out")
            for name in said
            if (count := self._counts[name])
        ]
        return found + self._notes

    def _out(self, why: str, rows: "Mask") -> None:
        import numpy as np

        self._count(why, np.flatnonzero(rows & self.good))
        self.good &= ~rows

    def _count(self, why: str, places: "NDArray[np.int64]") -> None:
        if len(places):
            self._counts[why] += len(places)
            self._first[why] = min(int(places.min()), self._first.get(why, int(places[0])))


def _as_before(time: "Numbers", others: "list[Numbers]") -> "Mask":
    """Which rows say the same as the row before, the time too."""
    import numpy as np

    same: Mask = np.diff(time, prepend=np.nan) == 0
    for numbers in others if same.any() else ():
        same[1:] &= (numbers[1:] == numbers[:-1]) | (np.isnan(numbers[1:]) & np.isnan(numbers[:-1]))
    return same


def _seen_before(time: "Numbers", behind: "Mask", others: "list[Numbers]") -> "Mask":
    """Which of the rows that lie behind stand, word for word, among those before."""
    import numpy as np

    ahead = np.flatnonzero(~behind)
    again = np.zeros(len(time), dtype=bool)
    if not behind.any():
        return again
    rows = np.flatnonzero(behind)
    near = ahead[np.searchsorted(time[ahead], time[rows]).clip(max=len(ahead) - 1)]
    same = (time[near] == time[rows]) & (near < rows)
    for numbers in others:
        same &= (numbers[near] == numbers[rows]) | (np.isnan(numbers[near]) & np.isnan(numbers[rows]))
    again[rows] = same
    return again


def scale_of(column: Used, numbers: "Numbers", clocks: bool) -> tuple[float, float, str]:
    """Offset and factor of a column, as (number + offset) · factor, and what was guessed for it, a clause: where its
    header states no unit, its numbers tell it."""
    import numpy as np

    if column.what == DATE or (column.what == TIME and clocks):
        return 0.0, 1.0, ""
    known = numbers[np.isfinite(numbers)]
    if not len(known):
        return *columns.factor(column.what, column.unit or next(iter(columns.units_of(column.what)))), ""
    unit, why = column.unit, ""
    if column.what in (THROTTLE, DUTY):
        top = float(np.abs(known).max())
        if 800 <= top <= 2600 and float(known.min()) > 500:
            low = float(known.min())
            return -low, 1 / max(top - low, 1.0), f"is a pulse: {low:g} µs taken as none, {top:g} µs as full"
        unit = "1" if top <= 1.05 else "%"
        why = "states % and never passes 1: taken as 0 to 1" if unit == "1" and column.unit == "%" and top > 0 else ""
    elif not column.stated:
        unit, why = _by_numbers(column.what, known)
    return *columns.factor(column.what, unit), why


def _by_numbers(what: str, known: "Numbers") -> tuple[str, str]:
    """The unit that numbers without one are likely in, and a clause where it is not the plain one."""
    import numpy as np

    plain = next(iter(columns.units_of(what)))
    if what == TIME:
        steps = np.diff(known)
        step = float(np.median(steps[steps > 0])) if (steps > 0).any() else 0.0
        unit = "us" if step >= 5000 else "ms" if step >= 5 else plain
        return unit, f"goes up by {step:g} a row: taken as {unit}" if unit != plain else ""
    high = float(np.quantile(np.abs(known), 0.99))
    middle = float(np.median(known))
    limits = {VOLTAGE: (200.0, "mv"), CURRENT: (2000.0, "ma"), MOTOR_CURRENT: (2000.0, "ma")}
    if what in limits and high > limits[what][0]:
        unit = limits[what][1]
        return unit, f"reaches {high:g}: taken as {unit[0]}{unit[1].upper()}"
    if what in (columns.MOTOR_TEMP, columns.ESC_TEMP) and (middle > 250 or high > 150):
        unit = "k" if middle > 250 else "f"
        return unit, f"reaches {high:g}: taken as {'K' if unit == 'k' else '°F'}"
    return plain, ""


def dead_words(numbers: "Numbers") -> str:
    """What is said of a channel that says 0 or nothing throughout; empty where it says something."""
    import numpy as np

    blank = np.isnan(numbers)
    if not len(numbers) or not (blank | (numbers == 0)).all():
        return ""
    return f"is {'blank' if blank.all() else '0'} throughout: a dead channel"


def step_of(volts: "Numbers") -> float:
    """The step that voltages come in, 0 where it is fine."""
    import numpy as np

    values = np.unique(np.round(volts[:: max(1, len(volts) // 20_000)], 4))
    if len(values) < 3:
        return 0.0
    step = float(np.diff(values).min())
    return round(step, 3) if step >= _STEP_V else 0.0
