"""What parts are worth, and which swap to try."""

from dataclasses import dataclass

from pitbench.desk.answers.shared import Spread


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

    in_motor: for every build the motor that is built so now, None for the others. power_pct: for every part what it is
    worth at load, in percent. even_chance: of the build with even_place 1 to be the most even, None where nobody
    measured it. minutes: what the user has.
    """

    class_: str | None
    as_of: str | None
    swaps: SwapsAnswer
    in_motor: list[str | None]
    power_pct: list[Spread | None]
    advice: SwapAdvice | None
    even_chance: float | None
    minutes: float
