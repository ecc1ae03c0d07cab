"""The ranking: which motor for the main, how sure, and what would settle it."""

from dataclasses import dataclass, field
from typing import Literal

from pitbench.desk.answers.shared import Spread


@dataclass(frozen=True)
class Basis:
    """The conditions all figures of a ranking are stated at."""

    voltage_v: float | None = None
    leads_mohm: float | None = None
    unseen_pct: float | None = None
    current_a: tuple[float, float] | None = None
    timing_deg: float | None = None
    motor_temp_c: float | None = None
    rollout_mm: float | None = None
    minutes: float | None = None
    ambient_c: float | None = None


@dataclass(frozen=True)
class Settle:
    """More bench runs of each of the two leaders until the verdict is likely clear, or why runs will not do it."""

    runs: int | None = None
    why: str | None = None


@dataclass(frozen=True)
class BenchLead:
    """Better on the bench, without load: another claim than best for the main."""

    leader: str | None = None
    chance_best: float | None = None


@dataclass(frozen=True)
class NextTest:
    """The test that tells most for its minutes: `count` readings of each motor, and the highest chance expected after.

    test: runs, session (the same in a new one), winding (clips off and on again before each), timing or swap.
    """

    test: str
    motors: list[str]
    count: int
    minutes: float
    chance_now: float
    chance_expected: float


@dataclass(frozen=True)
class WouldTell:
    """The one missing reading that would tell most, and of whom."""

    motor: str
    figure: str
    why: str
    chance_now: float
    chance_expected: float


@dataclass(frozen=True)
class FigureBasis:
    """σ in the figure's unit; weight and margin as the user set them."""

    repeatability: float | None
    weight: float
    margin: float


@dataclass(frozen=True)
class FigureOf:
    """One figure of one motor and how many runs it stands on."""

    mean: float | None
    low90: float | None
    high90: float | None
    runs: int


@dataclass(frozen=True)
class RankedMotor:
    """One line of the ranking; score_pct is the difference from the mean of the motors compared."""

    motor: str
    place: int
    chance_best: float
    score_pct: float
    score_low50: float
    score_high50: float
    score_low90: float
    score_high90: float
    group: str
    figures: dict[str, FigureOf]
    flags: list[str]


@dataclass(frozen=True)
class NotRanked:
    """A motor of the class that could not be ranked: no_run, new_build, other_voltage or part_missing."""

    motor: str
    why: str


@dataclass(frozen=True, kw_only=True)
class RankAnswer:
    """Which motor for the main, how sure, and what would settle it. `class_` is printed as `class`."""

    as_of: str | None = None
    class_: str | None
    gearing_limit: str
    test_voltage_v: float | None = None
    basis: Basis
    verdict: str | None = None
    leader: str | None = None
    lead_pct: Spread | None = None
    settle: Settle = Settle()
    bench: BenchLead = BenchLead()
    next_test: NextTest | None = None
    would_tell_most: WouldTell | None = None
    figures: dict[str, FigureBasis]
    motors: list[RankedMotor] = field(default_factory=list)
    not_ranked: list[NotRanked]


Why = Literal["apart", "kept", "fit"]


@dataclass(frozen=True)
class OddRun:
    """The run of a motor to look at, and which figure of it.

    why: apart, off its others by so many `times`; kept, unlikely and with no other run near it; fit, the engine weighs
    it down. value: in the figure's unit; runs: how many of the motor tell that figure.
    """

    motor: str
    taken_at: str
    figure: str
    why: Why
    value: float
    runs: int
    times: float | None = None

    @property
    def plain(self) -> bool:
        """Whether it should be said at once. Of many runs some always fit badly; they count less, which is enough."""
        return self.why != "fit"
