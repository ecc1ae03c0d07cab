"""Which numbers of a run were likely mistyped, by which slip, and what was meant: the typed against what is foreseen.

Knows texts and blocks, not which record they belong to: bench runs and track runs both ask here.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from pitbench.desk.entry.slips import (
    FAHRENHEIT,
    FIELDS_SWAPPED,
    MISSING,
    POLES,
    SHARES,
    UNKNOWN,
    WRONG,
    slips_of,
)
from pitbench.figures.mistyped import FAR, OFFERED, QUIET, Matrix, Meant, Verdict, judged, precision_of, standing
from pitbench.records.fields import QUANTITIES
from pitbench.records.numbers import likely_fahrenheit, shown

SETTINGS = (2, 4, 6, 8)
"""Pole counts a tester is set to."""
MOST_KNOWN = 4096
NOTHING = 50.0
"""By how much less the density of a row may gain from a slip than from another to be worth a look: e to its power."""
PLAIN = 0.5
"""Chance from which a number is set aside, and the others of its block are judged without it."""
USED_BEFORE = 10.0
"""How many times likelier a number is that was used before, where few are: teeth, a tyre, a gearbox. Ours."""
LOSING = (WRONG, MISSING)
"""Causes that leave less behind than was there."""
OF_SPEED = ("kv_rpm_per_v", "rpm")


class Doubted(NamedTuple):
    """One number: the chance that it was mistyped, the cause (empty: unknown), and what was meant where that is sure
    enough, read off its digits (`exact`) or about. setting: the poles a tester was set to; other: the field swapped
    with. low, high: where it should lie, two predictive sd; within: ten of them, for a number that is FAR off."""

    chance: float
    cause: str
    meant: float | None
    exact: bool
    setting: int | None
    other: str | None
    low: float
    high: float
    within: tuple[float, float] | None = None

    @property
    def is_plain(self) -> bool:
        """Whether the other numbers of its block are better judged without it."""
        return self.chance >= PLAIN or self.within is not None


class Judgeable(Protocol):
    """A block: see `bench_blocks.Block`."""

    @property
    def columns(self) -> tuple[str, ...]: ...
    @property
    def residuals(self) -> list[float]: ...
    @property
    def covariance(self) -> Matrix: ...
    @property
    def logs(self) -> frozenset[str]: ...
    @property
    def near(self) -> bool: ...
    @property
    def used(self) -> Mapping[str, Collection[float]]: ...
    def scale(self, name: str, value: float, /) -> float: ...
    def width(self, column: str) -> float: ...
    def swaps(self) -> list[tuple[str, str]]: ...


@dataclass(frozen=True)
class Typed:
    """A text as it was typed: its digits, and the factor and offset that bring a number so typed to the unit stored."""

    digits: str
    factor: float = 1.0
    offset: float = 0.0

    def stored(self, number: float) -> float:
        """A number in the unit it is stored in."""
        return number if self.factor == 1.0 else round(self.factor * (number + self.offset), 9)


def doubted(
    values: Mapping[str, float],
    typed: Mapping[str, Typed],
    blocks: Iterable[Judgeable],
    poles: int | None = None,
    least: float = OFFERED,
) -> dict[str, Doubted]:
    """Doubted numbers by column. typed: texts of those that were typed, others are taken as their value is shown.

    poles: those of the motor, where a tester worked out speeds with others. least: chance from which one is doubted.
    """
    found: dict[str, Doubted] = {}
    slips = _Slips(values, typed, poles, least)
    for block in blocks:
        found |= slips.all_of(block)
    return found


@dataclass(frozen=True)
class _Slips:
    """What was typed, and from which chance on a number is doubted: see `doubted`."""

    values: Mapping[str, float]
    typed: Mapping[str, Typed]
    poles: int | None
    least: float

    def all_of(self, block: Judgeable) -> dict[str, Doubted]:
        """Doubted numbers of a block: a second one may hide behind the first, so each is judged without the others."""
        found: dict[str, Doubted] = {}
        places, plain = [*range(len(block.columns))], [-1]
        while plain and places:
            more = self.of(block, places)
            plain = [at for at in places if (each := more.get(block.columns[at])) and each.is_plain]
            found = more | found
            places = [at for at in places if at not in plain]
        wrong = [at for at in range(len(block.columns)) if at not in places]
        for at in wrong if len(wrong) > 1 else ():
            if not any(found[block.columns[i]].other for i in wrong):
                found |= self.of(block, sorted((*places, at)))
        return found

    def of(self, block: Judgeable, places: list[int]) -> dict[str, Doubted]:
        """Doubted numbers among those at some places of a block, the others left aside."""
        every = block.residuals
        residuals = [every[at] for at in places]
        whole = len(places) == len(every)
        precision = _precision(
            block.covariance if whole else [[block.covariance[i][j] for j in places] for i in places]
        )
        z = standing(residuals, precision)
        if self.least == OFFERED and max(map(abs, z)) < QUIET:
            return {}
        names = [block.columns[at] for at in places]
        meant = [*_swaps(block, names, self.values)]
        least = max(each * each for each in z) / 2 - NOTHING
        for at, name in enumerate(names):
            if z[at] ** 2 / 2 >= least:  # no slip there can gain more
                meant += self._meant(at, name, block)
        verdicts = judged(residuals, precision, [block.width(n) for n in names], meant, UNKNOWN, self.least)
        return {
            names[at]: self._told(block, names, at, each, z[at], precision[at][at] ** -0.5)
            for at, each in verdicts.items()
        }

    def _told(self, block: Judgeable, names: list[str], at: int, verdict: Verdict, z: float, sd: float) -> Doubted:
        name = names[at]
        low, high, least, most = (
            _unscaled(block, name, self.values[name], (end - z) * sd) for end in (-2.0, 2.0, -FAR, FAR)
        )
        cause, setting = verdict.cause, None
        if cause.startswith(POLES):
            cause, setting = POLES, int(cause.removeprefix(POLES))
        other = None if verdict.other is None else names[verdict.other]
        number = verdict.meant if verdict.meant is None else _as_written(name, verdict.meant, cause)
        within = (least, most) if abs(z) > FAR else None
        return Doubted(verdict.chance, cause, number, verdict.exact, setting, other, low, high, within)

    def _meant(self, at: int, name: str, block: Judgeable) -> Iterable[Meant]:
        """Every number that may have been meant by the one typed there."""
        value, quantity, poles = self.values[name], QUANTITIES[name], self.poles
        low, high = quantity.likely
        text = self.typed.get(name) or Typed(shown(abs(value)))
        here, own = block.scale(name, value), _grain(text.digits, quantity.decimals)
        for cause, digits, chance in slips_of(text.digits, quantity.decimals):
            number = text.stored(float(digits))
            if not low <= number <= high or number == value or (quantity.whole and number != int(number)):
                continue
            room = _grain(digits, quantity.decimals) / own * (value / number if name in block.logs else 1.0)
            if number in block.used.get(name, ()):
                room *= USED_BEFORE
            lost = cause in LOSING and block.near
            yield Meant(at, cause, block.scale(name, number) - here, SHARES[cause] * chance * room, number, lost=lost)
        if text.factor == 1.0 and (celsius := likely_fahrenheit(value, quantity)) is not None:
            yield Meant(at, FAHRENHEIT, celsius - value, SHARES[FAHRENHEIT] * 5 / 9, celsius)
        if poles and name in OF_SPEED:
            for setting in SETTINGS:
                number = value * setting / poles
                if setting != poles and low <= number <= high:
                    move = block.scale(name, number) - here
                    share = SHARES[POLES] / (len(SETTINGS) - 1)
                    yield Meant(at, f"{POLES} {setting}", move, share, number, lost=True)


_PRECISIONS: dict[tuple[float, ...], Matrix] = {}


def _precision(covariance: Matrix) -> Matrix:
    """The inverse; rows of a sheet share a few."""
    key = tuple(value for row in covariance for value in row)
    if (found := _PRECISIONS.get(key)) is None:
        if len(_PRECISIONS) >= MOST_KNOWN:
            _PRECISIONS.clear()
        found = _PRECISIONS[key] = precision_of(covariance)
    return found


def _grain(digits: str, usual: int) -> float:
    """What part of the scale a text stands for, by its decimals: fewer than usual leave noughts away, more are rare."""
    places = len(digits.partition(".")[2])
    return 10.0 ** -max(places, usual) * (1.0 if places == usual else 0.5 if places < usual else 0.3)


def _swaps(block: Judgeable, names: list[str], values: Mapping[str, float]) -> Iterable[Meant]:
    """Two fields whose numbers were typed one into the other."""
    for a, b in block.swaps():
        if a not in names or b not in names:
            continue
        x, y = values[a], values[b]
        inside = all(QUANTITIES[n].likely[0] <= v <= QUANTITIES[n].likely[1] for n, v in ((a, y), (b, x)))
        if x == y or not inside:
            continue
        i, j = names.index(a), names.index(b)
        to_a, to_b = block.scale(a, y) - block.scale(a, x), block.scale(b, x) - block.scale(b, y)
        yield Meant(i, FIELDS_SWAPPED, to_a, SHARES[FIELDS_SWAPPED], y, (j, to_b, x))


def _unscaled(block: Judgeable, name: str, value: float, move: float) -> float:
    """The number that lies so far from a typed one on the block's scale."""
    return value * 2.718281828459045 ** max(-50.0, min(move / 100, 50.0)) if name in block.logs else value + move


def _as_written(name: str, number: float, cause: str) -> float:
    """A number that was worked out has no digit more than its field."""
    return round(number, QUANTITIES[name].decimals + (1 if cause == POLES else 3))
