"""What the log of a speed control tells of a motor under load. The border: samples in, what came out of them.

Kv is the loaded one, rpm = Kv·(V − i·R), and R that of motor, leads and speed control as warm as they were.
"""

from dataclasses import dataclass
from typing import Literal

from pitbench.figures.arrays import Bools, Floats

Basis = Literal["full_throttle", "duty"]
"""From which samples the line was fitted: battery voltage at full throttle, or duty × battery voltage throughout."""
Why = Literal[
    "no_speed", "no_full_throttle", "battery_current", "too_few", "no_spread", "not_separated", "no_resistance"
]
"""Why Kv and R were not told: no rpm in it; full throttle never and no duty; duty but only the battery's current; fewer
than MIN_PULLS pulls or MIN_SAMPLES samples; current the same throughout; R not known to half of itself; R ≤ 0."""
DoubtCode = Literal["current_offset", "lag", "negative_speed"]
"""What was found and dealt with. Poles are `speed.pole_setting_explaining`'s, which needs the bench."""


@dataclass(frozen=True)
class Samples:
    """One load log, arrays [n], time rising, n ≥ 0. voltage_v: of the battery; current_a: of the motor where
    current_is_of_motor, else of the battery; rpm: mechanical; throttle, duty: 0 to 1, negative backwards; °C. Unknown
    is NaN everywhere but in time. Rows that repeat, cannot be read or run backwards in time never get here.
    """

    time_s: Floats
    voltage_v: Floats
    current_a: Floats
    current_is_of_motor: bool
    rpm: Floats
    throttle: Floats
    duty: Floats
    motor_temp_c: Floats
    esc_temp_c: Floats


@dataclass(frozen=True)
class Estimate:
    """Mean and one standard error, clustered by pull, in the figure's own unit."""

    mean: float
    se: float


@dataclass(frozen=True)
class Course:
    """A temperature over the log, °C: first, last and highest known."""

    start: float
    end: float
    highest: float


@dataclass(frozen=True)
class AtFull:
    """At full throttle, settled. seconds; current in A and rpm: their 10 and 90 % points, and medians; speed_per_amp:
    rpm/V/A, median; power into the motor and at the shaft in W, means. None where unknown."""

    seconds: float
    current_a: tuple[float, float]
    current_median: float
    rpm: tuple[float, float] | None
    rpm_median: float | None
    speed_per_amp: float | None
    power_in_w: float
    shaft_power_w: float | None


@dataclass(frozen=True)
class Doubt:
    """value: what was taken off in A, the lag in samples, samples of negative speed taken as forward."""

    what: DoubtCode
    value: float


@dataclass(frozen=True)
class LoadFit:
    """What a log came to. Every sample is one of `used` [n] or counted in part_throttle, unsettled or unlikely.

    basis: None where nothing could be used. pulls: first sample of each stretch used, and the one after its last. kv:
    rpm/V; resistance: ohm; correlation of the two; None unless separated, then `why` is None. charge: Ah, energy: Wh,
    of the battery. current_offset: A taken off; lag: samples by which speed came later, and was moved back.
    """

    used: Bools
    part_throttle: int
    unsettled: int
    unlikely: int
    basis: Basis | None
    pulls: tuple[tuple[int, int], ...]
    kv: Estimate | None
    resistance: Estimate | None
    correlation: float | None
    why: Why | None
    at_full: AtFull | None
    seconds: float
    gaps: int
    charge_ah: float
    energy_wh: float
    motor_temp: Course | None
    esc_temp: Course | None
    current_offset: float
    lag: int
    doubts: tuple[Doubt, ...]

    @property
    def separated(self) -> bool:
        """Whether Kv and R could be told."""
        return self.why is None
