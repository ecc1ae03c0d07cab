"""What a load log told."""

from dataclasses import dataclass


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
