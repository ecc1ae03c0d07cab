"""Motors side by side: figure by figure, which differences are real; and every run behind a figure, for the screen."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from pitbench.desk.answers.ranking import Basis, FigureOf


@dataclass(frozen=True)
class Difference:
    """The first of two motors less the second, in the figure's unit.

    chance: that the better one is truly better; better: None below 0.90. Both are None where a figure has no better
    side; all is None where one of the two was never measured.
    """

    of: tuple[str, str]
    mean: float | None
    low90: float | None
    high90: float | None
    better: str | None
    chance: float | None


@dataclass(frozen=True)
class FigureBeside:
    """One figure of every motor, in their order, and of every two of them what lies between."""

    values: list[FigureOf]
    differences: list[Difference]

    def between(self, one: str, other: str) -> Difference:
        """The difference of these two, the way round it is told."""
        return next(each for each in self.differences if each.of == (one, other))


@dataclass(frozen=True)
class CompareAnswer:
    """Two to four motors of one class; basis: the conditions of all figures, as of a ranking."""

    motors: list[str]
    basis: Basis
    figures: dict[str, FigureBeside]


@dataclass(frozen=True)
class RunRead:
    """What one run read of a figure, and what that comes to at the conditions of the comparison, moods taken out.

    run_id: None for a reading written on the motor itself; compared: None where only the reading is known.
    """

    run_id: str | None
    at: str
    read: float
    compared: float | None = None


@dataclass(frozen=True)
class SideBySide:
    """What the screen shows: the answer, power at load in percent of the mean motor, and the runs.

    runs: by figure and motor, the oldest first. why_not: of motors the ranking leaves out, by name. guests: motors
    that are compared here and not in the ranking. likelier: by figure and two motors which is likelier the better,
    however little. since: the work that a motor's state began with, by its name;
    worked: the work after which it was not on the bench.
    """

    answer: CompareAnswer
    class_: str | None
    power_pct: FigureBeside
    runs: Mapping[str, Mapping[str, Sequence[RunRead]]]
    likelier: Mapping[str, Mapping[tuple[str, str], str]]
    why_not: Mapping[str, str] = field(default_factory=dict)
    guests: Sequence[str] = ()
    since: Mapping[str, dict[str, Any]] = field(default_factory=dict)
    worked: Mapping[str, dict[str, Any]] = field(default_factory=dict)
