"""The tables of Parts: what each part of a kind is worth, and the builds that can be made of all of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rich.cells import cell_len

from pitbench.app.widgets.paint import Line, fitted, line
from pitbench.app.widgets.table import GAP, Cell, Column, Table, with_margin
from pitbench.desk.answers import BuildChance, PartsAnswer, PartWorth, Spread
from pitbench.records.fields import PART_KINDS
from pitbench.words.parts import KINDS, UNITS, best_parts, margin_words, place_of_build, place_words, short_name
from pitbench.words.ranking import chance_number

FIGURES = {
    "stator": ("kv_rpm_per_v", "resistance_mohm", "no_load_current_a"),
    "rotor": ("kv_rpm_per_v", "no_load_current_a", "pole_imbalance_pct", "hall_level_spread_pct"),
    "end_bell": ("sensor_spread_deg", "no_load_current_a", "hall_level_spread_pct"),
}
"""What a part of this kind can cause; the first is shown also where there is little room."""
HEADS = {
    "kv_rpm_per_v": ("KV|rpm/V", 8),
    "no_load_current_a": ("current|A", 11),
    "resistance_mohm": ("winding|mΩ", 9),
    "sensor_spread_deg": ("spread|°", 9),
    "pole_imbalance_pct": ("imbalance|%", 9),
    "hall_level_spread_pct": ("Hall level|spread %", 10),
}
LONGEST_PART, LONGEST_MOTOR, MARK, EVEN = 13, 10, 3, 7
BESIDE_FROM, EVEN_FROM = 100, 112
"""Columns of the screen from which the builds stand beside the parts, and from which each says there how even it is."""
BESIDE_BUILD, OTHERS_BESIDE, OTHERS_BELOW = 20, 40, 58
"""Cells for the names of a build beside the parts; and what mark, gaps and the other columns take."""


@dataclass(frozen=True)
class PartLine:
    """A part with its worth at load."""

    worth: PartWorth
    power: Spread | None


@dataclass(frozen=True)
class BuildLine:
    """A build, what it is in (a motor, or whether it was tested), whether it scores best, and is to be tried next."""

    build: BuildChance
    place: str
    first: bool
    advised: bool

    @property
    def names(self) -> list[str]:
        """Its parts, their kinds told by their places."""
        return [short_name(kind, getattr(self.build, kind)) for kind in PART_KINDS]


def part_lines(answer: PartsAnswer, kind: str) -> list[PartLine]:
    """The parts of a kind, worth most at load first."""
    return [PartLine(worth, power) for worth, power in best_parts(answer, kind)]


def part_widths(kind: str, lines: Sequence[PartLine]) -> tuple[int, int, int]:
    """Cells for the names of parts and of motors, and for the whole table without any figure but power."""
    parts = max((cell_len(short_name(kind, each.worth.part)) for each in lines), default=0)
    motors = max((cell_len(each.worth.in_ or "") for each in lines), default=0)
    part, motor = max(len(kind), min(LONGEST_PART, parts)), max(5, min(LONGEST_MOTOR, motors))
    return part, motor, MARK + 1 + part + motor + 5 + 9 + 3 * len(GAP)


def part_table(kind: str, lines: Sequence[PartLine], room: int) -> tuple[Table[PartLine], int]:
    """A part a row, and the cells it takes; where there is no room for all its figures, the last ones go."""
    part, motor, taken = part_widths(kind, lines)
    columns: list[Column[PartLine]] = [
        Column(f"{KINDS[kind]}|", part, lambda each: short_name(kind, each.worth.part)),
        Column("in|", motor, _place),
        Column("moved|", 5, lambda each: str(each.worth.moved), "right"),
        Column("power|at load %", 9, lambda each: _worth(each.power, 1), "right", role="strong"),
    ]
    for name in FIGURES[kind]:
        head, cells = HEADS[name]
        if taken + len(GAP) + cells > room:
            break
        taken += len(GAP) + cells
        columns.append(Column(head, cells, _figure(name), "right"))
    return Table(columns, room), taken


def build_lines(answer: PartsAnswer, most: int) -> tuple[list[BuildLine], list[BuildChance]]:
    """As many builds as there is room for, the one to test next always among them; and those left out."""
    test = answer.swaps.test_next
    wanted = (test.stator, test.rotor, test.end_bell) if test else None
    lines = [
        BuildLine(build, place_of_build(answer, nth), nth == 0, (build.stator, build.rotor, build.end_bell) == wanted)
        for nth, build in enumerate(answer.swaps.builds)
    ]
    shown, rest = lines[:most], lines[most:]
    late = next((each for each in rest if each.advised), None)
    if late is not None and shown:
        rest = [shown[-1], *(each for each in rest if each is not late)]
        shown = [*shown[:-1], late]
    return shown, [each.build for each in rest]


def builds_width(lines: Sequence[BuildLine], room: int, *, even: bool) -> int:
    """Cells the builds take beside the parts."""
    others = _others(beside=True, even=even)
    return others + _build_room(_name_widths(lines, min(BESIDE_BUILD, room - others)))


def drawn_builds(lines: Sequence[BuildLine], width: int, *, beside: bool, even: bool) -> list[Line]:
    """Heads and rows; beside the parts with heads of two lines, as theirs."""
    names = _name_widths(lines, width - _others(beside=beside, even=even))

    def name(each: BuildLine) -> Cell:
        text = " ".join(fitted(part, room) for part, room in zip(each.names, names, strict=True))
        return (text, "accent" if each.first else "text")

    power, chance = ("power|at load %", "chance of|being best") if beside else ("power at load %", "chance of best")
    columns: list[Column[BuildLine]] = [
        Column("BUILDS", _build_room(names), name),
        Column("in", 10, _built),
        Column(power, 9 if beside else 15, _score, "right"),
        *([Column("even", EVEN, lambda each: place_words(each.build.even_place))] if even else []),
        Column(chance, 10 if beside else 14, _chance, "right", role="strong"),
    ]
    table = Table(columns, width)
    return [*table.heads(), *(line("   ", *table.row(each)) for each in lines)]


def _others(*, beside: bool, even: bool) -> int:
    """Cells for all but the names of the parts."""
    return OTHERS_BESIDE + even * (len(GAP) + EVEN) if beside else OTHERS_BELOW


def _build_room(names: Sequence[int]) -> int:
    return max(len("BUILDS"), sum(names) + len(names) - 1)


def _name_widths(lines: Sequence[BuildLine], room: int) -> list[int]:
    """Cells for the name of each kind of part; where there is no room for all of them, long ones give way alike."""
    longest = [max(map(cell_len, names)) for names in zip(*(each.names for each in lines), strict=True)] or [1, 1, 1]
    room -= len(longest) - 1
    most = max(longest)
    while most > 3 and sum(min(most, each) for each in longest) > room:
        most -= 1
    return [min(most, each) for each in longest]


def _worth(spread: Spread | None, decimals: int) -> str | Callable[[int], str]:
    mean, _, margin = margin_words(spread, decimals).partition(" ±")
    return with_margin(mean, margin) if margin else mean


def _figure(name: str) -> Callable[[PartLine], str | Callable[[int], str]]:
    return lambda each: _worth(each.worth.figures.get(name), UNITS[name][1])


def _score(each: BuildLine) -> str | Callable[[int], str]:
    return _worth(Spread(each.build.score_pct, each.build.score_low90, each.build.score_high90), 1)


def _chance(each: BuildLine) -> str:
    return chance_number(each.build.chance_best)


def _place(each: PartLine) -> Cell:
    return (each.worth.in_, "text") if each.worth.in_ else ("spare", "quiet")


def _built(each: BuildLine) -> Cell:
    return (each.place, "accent" if each.advised else "text" if each.build.tested else "quiet")
