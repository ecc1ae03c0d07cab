"""Numbers that are possible and yet unlikely: marked, explained, and kept if that is wanted. Nothing is refused here.

A number is held against its likely range, this motor's earlier runs (ours: outside their range widened by ten times
the usual repeatability, from three runs on), the other figures of the run, and the tester's pole setting. The form and
`load` both ask here.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Literal

from pitbench.desk.answered import answered
from pitbench.desk.entry.alike_figures import SPEEDS, TIMING_NOISE
from pitbench.desk.entry.repairs import repaired
from pitbench.desk.run_figures import SENSORS
from pitbench.figures import speed, timing
from pitbench.figures.criteria import MEASURED
from pitbench.figures.timing import TOTAL_TOLERANCE_DEG
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row
from pitbench.records.numbers import likely_fahrenheit, shown
from pitbench.records.spoken import capital

Rule = Literal["range", "earlier", "far", "asked", "sensors", "speed", "poles", "laps", "gears", "warmth", "event"]

WIDENED_BY = 10
ENOUGH_RUNS = 3
SPEEDS_AGREE = 0.005
FAHRENHEIT = "°F"
MOST_KEPT = 50


@dataclass(frozen=True)
class RunSuspect:
    """An unlikely number: why in a sentence, and what was meant where that is plain.

    `against`: the temperature it is held against, °C, and in which words, for those who show it in their own unit.
    waits: whether it stays out of every figure until somebody has answered for it, see `suspects_waiting`.
    """

    column: str
    value: float
    sentence: str
    rule: Rule
    cause: str | None = None
    suggested: float | None = None
    against: tuple[str, float] | None = None
    waits: bool = False


@dataclass
class Span:
    """Lowest and highest of the earlier values of one field, and values that were unlikely and yet kept."""

    low: float = float("inf")
    high: float = float("-inf")
    count: int = 0
    kept: list[float] = field(default_factory=list)


class Earlier:
    """What earlier runs of one motor under the same conditions showed, field by field."""

    def __init__(self, runs: Iterable[Row] = ()) -> None:
        self._spans: dict[str, Span] = {}
        for run in runs:
            self.add(run)

    def add(self, run: Row) -> None:
        """Take in one run; one left out of the figures tells nothing, nor does a number that waits."""
        if "excluded_why" in run:
            return
        run, doubted = answered(run), set(run.get("kept", ()))
        for name in (*_compared(), "poles_assumed"):
            if name not in run:
                continue
            span, value = self._spans.setdefault(name, Span()), run[name]
            if name not in doubted:
                span.low, span.high, span.count = min(span.low, value), max(span.high, value), span.count + 1
            elif len(span.kept) < MOST_KEPT:
                span.kept.append(value)

    def span(self, name: str) -> Span:
        """The values seen of one field."""
        return self._spans.get(name, Span())


def conditions(run: Row) -> tuple[str | None, float | None, float | None]:
    """Runs are compared with those of the same build, test voltage (to 0.1 V) and timing mark."""
    voltage = run.get("test_voltage_v")
    return run.get("build_id"), None if voltage is None else round(voltage, 1), run.get("timing_mark_deg")


def made_alike(run: Row, runs: Iterable[Row]) -> list[Row]:
    """Those of the runs that were made under the same conditions; what is not known agrees with all."""
    own = conditions(run)
    return [r for r in runs if all(a is None or b is None or a == b for a, b in zip(own, conditions(r), strict=True))]


def suspects_against(run: Row, earlier: Earlier, motor: Row | None) -> list[RunSuspect]:
    """Suspects of a run, at most one a field, in the order of the fields."""
    name = (motor or {}).get("name", "this motor")
    poles = int((motor or {}).get("poles", 2))
    every = [
        *_poles(run, earlier, motor, poles),
        *_sensors(run, earlier, name),
        *_unlike_earlier(run, earlier, name),
        *_speeds(run, poles),
        *unlikely(run),
    ]
    return one_a_field(every)


def one_a_field(suspects: Iterable[RunSuspect]) -> list[RunSuspect]:
    """The first suspect of each field, in the order of the fields."""
    found: dict[str, RunSuspect] = {}
    for suspect in suspects:
        found.setdefault(suspect.column, suspect)
    order = ["started_at", *QUANTITIES]
    return sorted(found.values(), key=lambda suspect: order.index(suspect.column))


def unlikely(values: Row) -> list[RunSuspect]:
    """Numbers outside the likely range of their field, whatever record they stand in."""
    found = []
    for name, value in values.items():
        quantity = QUANTITIES.get(name)
        if quantity is None or not isinstance(value, int | float) or quantity.likely[0] <= value <= quantity.likely[1]:
            continue
        low, high = quantity.likely
        unit = f" {quantity.unit}" if quantity.unit else ""
        suggested = likely_fahrenheit(value, quantity)
        cause: str | None = f"{FAHRENHEIT}, which is {shown(suggested)} °C" if suggested is not None else None
        if cause is None:
            cause, suggested = repaired(value, low, high, swaps=False)
        found.append(worded(name, value, f"{shown(low)} to {shown(high)}{unit} is usual", "range", cause, suggested))
    return found


def not_in_fahrenheit(suspects: Iterable[RunSuspect], typed_so: Collection[str]) -> list[RunSuspect]:
    """The suspects without the offer of °F for fields that were typed in °F."""
    return [
        replace(s, sentence=s.sentence.removesuffix(asked(s.cause)), cause=None, suggested=None)
        if s.cause and s.cause.startswith(FAHRENHEIT) and s.column in typed_so
        else s
        for s in suspects
    ]


def worded(
    name: str, value: float, why: str, rule: Rule, cause: str | None = None, suggested: float | None = None
) -> RunSuspect:
    """A suspect with its sentence: the field, its value, why, and the cause as a question."""
    label = QUANTITIES[name].label
    sentence = f"{capital(label)} {short(name, value)}: {why}.{asked(cause)}"
    return RunSuspect(name, value, sentence, rule, cause, suggested)


@cache
def _compared() -> dict[str, tuple[float, bool]]:
    """Repeatability of every field that is held against earlier runs, and whether it is in percent."""
    noise = {name: (each.noise, each.relative) for name, each in MEASURED.items() if name in QUANTITIES}
    noise |= dict.fromkeys(SPEEDS, noise["kv_rpm_per_v"])
    return noise | dict.fromkeys(("timing_deg", *SENSORS), (TIMING_NOISE, False))


def _reach(name: str, value: float) -> float:
    noise, relative = _compared()[name]
    return WIDENED_BY * (abs(value) * noise / 100 if relative else noise)


def _off(run: Row, earlier: Earlier, name: str) -> bool:
    """Whether the value lies away from every earlier one, also from those kept knowingly."""
    value, span = float(run[name]), earlier.span(name)
    if any(abs(value - kept) <= _reach(name, kept) for kept in span.kept):
        return False
    return value < span.low - _reach(name, span.low) or value > span.high + _reach(name, span.high)


def _unlike_earlier(run: Row, earlier: Earlier, motor_name: str) -> Iterable[RunSuspect]:
    if "excluded_why" in run:
        return
    for name in _compared():
        span = earlier.span(name)
        if name not in run or span.count < ENOUGH_RUNS or not _off(run, earlier, name):
            continue
        low, high = span.low - _reach(name, span.low), span.high + _reach(name, span.high)
        cause, suggested = repaired(run[name], low, high)
        yield worded(name, run[name], _always(motor_name, name, span), "earlier", cause, suggested)


def _always(motor_name: str, name: str, span: Span) -> str:
    low, high = short(name, span.low), short(name, span.high)
    where = f"at {low}" if low == high else f"between {low} and {high}"
    return f"{motor_name} has always been {where} there"


def asked(cause: str | None) -> str:
    """What was likely meant, as a question behind the sentence."""
    return f" {capital(cause)}?" if cause else ""


def short(name: str, value: float) -> str:
    """A number without the digits that a conversion of units made."""
    return shown(round(value, QUANTITIES[name].decimals + 1))


def _sensors(run: Row, earlier: Earlier, motor_name: str) -> Iterable[RunSuspect]:
    """The stated total against the mean of the three sensors: the one that stands apart is the suspect."""
    if not all(name in run for name in ("timing_deg", *SENSORS)):
        return
    total, sensors = run["timing_deg"], [run[name] for name in SENSORS]
    if not timing.total_disagrees(total, *sensors):
        return
    mean, odd = timing.mean_timing(*sensors), _odd_sensor(total, sensors)
    name = "timing_deg" if odd is None else SENSORS[odd]
    span, why = earlier.span(name), f"the total says {shown(total)}, the mean of the sensors is {mean:.1f}"
    if span.count >= ENOUGH_RUNS and _off(run, earlier, name):
        why = _always(motor_name, name, span)
    if odd is None and timing.sensor_spread(*sensors) > 2 * timing.TOTAL_TOLERANCE_DEG:
        yield worded(name, total, why, "sensors", "one of total, A, B and C misread")
        return
    wanted = round(mean if odd is None else 3 * total - sum(sensors) + sensors[odd], 1)
    reach = timing.TOTAL_TOLERANCE_DEG * (1 if odd is None else 3)
    cause, suggested = repaired(run[name], wanted - reach, wanted + reach, near=wanted)
    yield worded(name, run[name], why, "sensors", cause or "misread", suggested if cause else wanted)


def _odd_sensor(total: float, sensors: list[float]) -> int | None:
    """The one sensor that stands apart while the other two agree with each other and with the total."""
    for odd in range(3):
        one, other = sensors[:odd] + sensors[odd + 1 :]
        agree = abs(one - other) <= 2 * TOTAL_TOLERANCE_DEG and abs((one + other) / 2 - total) <= TOTAL_TOLERANCE_DEG
        if agree and abs(sensors[odd] - total) > 2 * TOTAL_TOLERANCE_DEG:
            return odd
    return None


def _speeds(run: Row, poles: int) -> Iterable[RunSuspect]:
    """KV, rpm and erpm of one run say the same; the first of them counts."""
    voltage = run.get("test_voltage_v")
    if voltage is None:
        return
    per_volt = {"kv_rpm_per_v": 1.0, "rpm": voltage, "erpm": voltage * poles / 2}
    kv = {name: run[name] / per_volt[name] for name in SPEEDS if name in run}
    if "erpm" in run:
        kv["erpm"] = speed.no_load_kv(speed.mechanical_rpm(run["erpm"], poles), voltage)
    first = next(iter(kv), None)
    for name in kv:
        if first is not None and abs(kv[name] - kv[first]) > SPEEDS_AGREE * kv[first]:
            wanted = round(kv[first] * per_volt[name])
            label = QUANTITIES[first].label
            why = f"{label} {shown(run[first])} at {shown(voltage)} V makes {wanted}"
            cause, suggested = repaired(run[name], wanted * (1 - SPEEDS_AGREE), wanted * (1 + SPEEDS_AGREE), wanted)
            yield worded(name, run[name], why, "speed", cause, suggested or wanted)


def _poles(run: Row, earlier: Earlier, motor: Row | None, poles: int) -> Iterable[RunSuspect]:
    """The tester's pole setting: stated and not the motor's, or betrayed by a speed off by just its factor."""
    name = (motor or {}).get("name", "this motor")
    assumed = run.get("poles_assumed")
    known = "poles" in (motor or {})
    if known and assumed is not None and assumed != poles and assumed not in earlier.span("poles_assumed").kept:
        cause = f"the tester was set to {shown(assumed)} poles"
        why = f"{name} has {poles} poles, so the tester's speeds are {poles / assumed:.3g} times the true ones"
        yield replace(worded("poles_assumed", assumed, why, "poles"), cause=cause, suggested=float(poles))
    for column in ("kv_rpm_per_v", "rpm"):
        span = earlier.span(column)
        if column not in run or not span.count or "excluded_why" in run or not _off(run, earlier, column):
            continue
        usual = (span.low + span.high) / 2
        setting = speed.pole_setting_explaining(run[column], usual, poles)
        if setting is not None:
            cause = f"the tester was set to {setting} poles"
            suggested = round(speed.corrected_for_poles(run[column], poles, setting), 1)
            yield worded(column, run[column], _always(name, column, span), "poles", cause, suggested)
