"""The answers' models: frozen, with exactly the keys other programs rely on. Unknown is None, never 0, NaN or absent.

Screens and commands word these; nothing computed is added on the way. `plain` makes the object that --json prints.
"""

from dataclasses import dataclass, field, fields, is_dataclass
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from pitbench.sheets.reading import Fault


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
class Spread:
    """A mean with its 5 and 95 % points."""

    mean: float | None
    low90: float | None
    high90: float | None


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

    test: runs, session (the same in a new one), winding (clips off and on again before each) or timing.
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


@dataclass(frozen=True)
class Temperatures:
    """A finish temperature in °C: median, 25 and 75 % points, 5 and 95 % points."""

    median: float
    low50: float
    high50: float
    low90: float
    high90: float


@dataclass(frozen=True)
class ForecastBasis:
    """How many track runs the forecast stands on, how many of them of this motor and of this event."""

    track_runs: int
    same_motor: int
    same_event: int


@dataclass(frozen=True)
class ForecastAnswer:
    """What a motor will finish at with the planned gearing, length and ambient."""

    motor: str
    finish_temp_c: Temperatures
    ceiling_c: float
    chance_over_ceiling: float
    longest_rollout_mm: float | None
    basis: ForecastBasis
    flags: list[str]


@dataclass(frozen=True)
class PartWorth:
    """What a part is worth: its difference from the average part of its kind, None for a figure nobody measured.

    in_: the motor it is in now, None for a spare. moved: how often it was fitted into another motor. separated:
    whether some tested build parted it from its neighbours.
    """

    kind: str
    part: str
    in_: str | None
    moved: int
    separated: bool
    figures: dict[str, Spread | None]


@dataclass(frozen=True)
class BuildChance:
    """A legal build, tested or not; score_pct is the difference from the mean of all of them.

    even_place: 1 for the lowest sensor spread and pole imbalance together; None where nobody measured either.
    """

    stator: str
    rotor: str
    end_bell: str
    tested: bool
    chance_best: float
    score_pct: float
    score_low90: float
    score_high90: float
    even_place: int | None


@dataclass(frozen=True)
class BuildToTest:
    """The build to test next; why: one sentence."""

    stator: str
    rotor: str
    end_bell: str
    why: str


@dataclass(frozen=True)
class SwapsAnswer:
    """What parts are worth, every legal build, the best score first, and what to test next."""

    parts: list[PartWorth]
    builds: list[BuildChance]
    test_next: BuildToTest | None


@dataclass(frozen=True)
class LinkedFigure:
    """How well a bench figure told of one target, inside events that were left out; None: it could not be tried.

    skill: how much smaller the error than that of the event's mean; p_value: that luck alone would do it, corrected for
    all that was tried; better: whether motors with the higher or the lower figure did better.
    """

    figure: str
    skill: float | None
    p_value: float | None
    better: str | None


@dataclass(frozen=True)
class LinkAnswer:
    """Which bench figures told about the track, by target; lists are empty until there is enough."""

    enough: bool
    missing_runs: int
    missing_motors: int
    missing_events: int
    targets: dict[str, list[LinkedFigure]]


@dataclass(frozen=True)
class WeightOffer:
    """A weight for a figure that the link would justify; nothing counts before the user takes it."""

    figure: str
    weight: float


@dataclass(frozen=True, kw_only=True)
class LinkPage:
    """All that is said of the link of one class; `answer` is what other programs rely on, the rest is for people.

    runs, raced, events: runs compared inside events, motors that ran beside others, and the events. Of every motor of
    the ranking: figures, as the bench has them, and levels by target, seconds a lap or °C against their mean, None
    where unknown. margins in the figures' units; per_margin: by target and figure, seconds a lap or °C that one margin
    more brought. unseen_learned: whether what the bench cannot see is what the link leaves over.
    """

    class_: str | None
    answer: LinkAnswer
    runs: int = 0
    raced: int = 0
    events: int = 0
    motors: list[str]
    figures: dict[str, list[Spread | None]] = field(default_factory=dict)
    levels: dict[str, list[Spread | None]] = field(default_factory=dict)
    margins: dict[str, float] = field(default_factory=dict)
    per_margin: dict[str, dict[str, float | None]] = field(default_factory=dict)
    offers: list[WeightOffer] = field(default_factory=list)
    unseen_pct: float | None = None
    unseen_learned: bool = False


@dataclass(frozen=True)
class Move:
    """One part that goes into a motor, and where it comes from: a motor, or None for a spare."""

    kind: str
    part: str
    from_: str | None


@dataclass(frozen=True)
class SwapAdvice:
    """What to build next, in which motor, and what it is expected to bring against the best build that was tested.

    moves: what must be fitted, nothing for a build that stands. beside: the motor to run it against in the same
    session, None where there is none; opens_it: whether that motor is opened for it, and so is run before. rival: the
    motor that is the best tested build now, None where that is not together any more. chance_better, gain_pct: that
    the build beats the rival, and by how much in percent of power if so. runs of each; winding: whether the windings
    are read once besides. unparted: names of parts of it that no build has parted from their neighbours yet.
    """

    build: BuildToTest
    motor: str
    moves: list[Move]
    beside: str | None
    opens_it: bool
    rival: str | None
    chance_better: float
    gain_pct: float
    runs: int
    winding: bool
    minutes: float
    unparted: list[str]


@dataclass(frozen=True)
class PartsAnswer:
    """All that is said of the parts of one class; `swaps` is what other programs rely on, the rest is for people.

    score: what score_pct counts (power at load, or with weights). in_motor: for every build the motor that is built so
    now, None for the others. power_pct: for every part what it is worth at load, in percent. even: chance of the build
    with even_place 1 to be the most even, None where nobody measured it. minutes: what the user has.
    """

    class_: str | None
    as_of: str | None
    swaps: SwapsAnswer
    in_motor: list[str | None]
    power_pct: list[Spread | None]
    advice: SwapAdvice | None
    even_chance: float | None
    minutes: float


@dataclass(frozen=True)
class ChangeOnBench:
    """Bench runs before and after; figures: after less before, in the figure's unit; chance that power at load rose."""

    before: int
    after: int
    figures: dict[str, Spread]
    chance_helped: float | None


@dataclass(frozen=True)
class ChangeOnTrack:
    """Track runs before and after; after less before in seconds a lap and in K; chance that it became faster."""

    before: int
    after: int
    track_pace_s: Spread
    finish_temp_c: Spread
    chance_helped: float | None


@dataclass(frozen=True)
class Change:
    """One entry of the setup log and what it brought; None where bench, or track, cannot see it.

    together_with: what else was changed with nothing run between, told as one on the bench or on the track.
    """

    written_at: str
    event: str | None
    motor: str | None
    what: str
    was: str | None
    now: str | None
    bench: ChangeOnBench | None
    track: ChangeOnTrack | None
    together_with: list[str]


@dataclass(frozen=True)
class ChangesAnswer:
    """What each change brought, the oldest first."""

    changes: list[Change]


@dataclass(frozen=True)
class Judged:
    """A change for people: besides, the id of its entry, the power at load in percent, and what it was changed with,
    as bench and track see it; car_change: whether it is of the car and not of a motor itself."""

    entry_id: str
    change: Change
    power_pct: Spread | None
    bench_with: list[str]
    track_with: list[str]
    car_change: bool


@dataclass(frozen=True)
class LoadedFile:
    """What became of one sheet; of a problem line and column are counted from 1 as an editor shows them."""

    file: str
    sheet: str | None
    rows: int
    added: int
    same: int
    differs: int
    replaced: int
    unknown_columns: list[str]
    problems: list["Fault"]


@dataclass(frozen=True)
class Suspect:
    """A number that is unlikely and was stored as typed."""

    file: str
    line: int
    column: str
    value: str
    chance: float | None
    likely_cause: str | None
    suggested: float | None


@dataclass(frozen=True)
class LoadAnswer:
    """What `load` did, or would do."""

    files: list[LoadedFile]
    motors_added: list[str]
    suspects: list[Suspect]


@dataclass(frozen=True)
class MeanSe:
    """A mean and its standard error."""

    mean: float | None
    se: float | None


@dataclass(frozen=True)
class LeftOut:
    """Rows of a load log that did not count, by why: no sample at all, there twice, not at full throttle, current or
    speed still changing, far off the line."""

    unreadable: int
    repeated: int
    part_throttle: int
    unsettled: int
    unlikely: int


@dataclass(frozen=True)
class FullThrottle:
    """What stood at full throttle; current and rpm as (10 %, 90 %) points."""

    seconds: float
    current_a: tuple[float, float] | None
    rpm: tuple[float, float] | None
    speed_per_amp: float | None
    power_in_w: float | None
    shaft_power_w: float | None


@dataclass(frozen=True)
class Warming:
    """A temperature over a load log."""

    start: float | None
    end: float | None
    highest: float | None


@dataclass(frozen=True)
class LogDoubt:
    """What may be wrong and was taken as it stands, or was put right: `why` completes a sentence about `what`."""

    what: str
    why: str


@dataclass(frozen=True)
class LoadLogAnswer:
    """What a load log came to. kv_rpm_per_v is the loaded one, resistance that of motor, leads and speed control;
    rows = used + all of left_out. why: a code, None where the two could be separated."""

    file: str
    motor: str
    run: str | None
    bench: bool
    stored: bool
    rows: int
    used: int
    left_out: LeftOut
    gaps: int
    seconds: float
    columns: dict[str, str]
    kv_rpm_per_v: MeanSe
    resistance_mohm: MeanSe
    correlation: float | None
    separated: bool
    why: str | None
    full_throttle: FullThrottle
    charge_mah: float | None
    energy_wh: float | None
    motor_temp_c: Warming
    esc_temp_c: Warming
    doubts: list[LogDoubt]


@dataclass(frozen=True)
class CheckAnswer:
    """Whether the logbook is whole: seal good, broken or none; a count is None where the file cannot be read so far."""

    ok: bool
    schema: int | None
    seal: str
    records: dict[str, int | None]
    problems: list[str]
    backups: list[str]


def plain(answer: Any) -> Any:
    """An answer as plain dicts and lists, ready for JSON; a trailing underscore of a field name is dropped."""
    if is_dataclass(answer):
        return {each.name.rstrip("_"): plain(getattr(answer, each.name)) for each in fields(answer)}
    if isinstance(answer, dict):
        return {key: plain(value) for key, value in answer.items()}
    if isinstance(answer, (list, tuple)):
        return [plain(value) for value in answer]
    return answer
