"""What is possible and yet unlikely in a bench run. Nothing is refused here; the form and `load` both ask here.

Every number is held against what the motor, the session and the class lead to expect (`foreseen_bench`), with the other
numbers of the run; besides that the tester's stated poles against the motor's, the stated total timing against the mean
of the sensors, and speeds against one another. Far off is what lies more than ten predictive sd off while most of what
it can be held against agrees with what was foreseen: where half of a motor's runs say something else, or of two that
differ, nobody can tell which is wrong.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from pitbench.desk import run_figures
from pitbench.desk.entry.bench_blocks import blocks_of
from pitbench.desk.entry.foreseen_bench import ForeseenBench
from pitbench.desk.entry.foreseen_spreads import FEW
from pitbench.desk.entry.foreseen_values import SPEEDS
from pitbench.desk.entry.mistyped import Doubted, Typed, doubted
from pitbench.desk.entry.suspects import (
    EXPECTED,
    USUAL,
    RunSuspect,
    one_a_field,
    spanned,
    suspect_of,
    unlikely,
    worded,
)
from pitbench.desk.entry.waiting import Kept
from pitbench.figures import speed
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row
from pitbench.records.numbers import shown

SPEEDS_DIFFER = 0.005
ENOUGH_RUNS = 3
"""Runs under the same conditions whose lowest and highest number are named."""


def bench_suspects(
    run: Row,
    known: ForeseenBench,
    motor: Row | None,
    kept: Kept | None = None,
    typed: Mapping[str, Typed] | None = None,
) -> list[RunSuspect]:
    """Suspects of a run, at most one a field, in the order of the fields. Not what is near a number that was kept.

    typed: the texts it was typed with, where they are at hand.
    """
    if "excluded_why" in run:
        return one_a_field([*_stated_poles(run, motor), *unlikely(run, typed)])
    values = {name: run[name] for name in run if name in QUANTITIES and isinstance(run[name], int | float)}
    found = doubted(values, typed or {}, blocks_of(run, motor, known), run_figures.poles_of(motor))
    every = [
        *_stated_poles(run, motor),
        *(_worded(name, run, motor, known, each) for name, each in found.items()),
        *_total(run, found),
        *_speeds(run, run_figures.poles_of(motor), found),
        *unlikely(run, typed),
    ]
    motor_id = run.get("motor_id", "")
    if kept is not None:
        every = [each for each in every if not kept.near(motor_id, each.column, [each.value])]
    far = {name for name, each in found.items() if each.within and _stands_alone(name, run, each.within, known)}
    return [replace(each, far=each.column in far) for each in one_a_field(every)]


def _stands_alone(name: str, run: Row, within: tuple[float, float], known: ForeseenBench) -> bool:
    """Whether most other runs like it, or before there are two most motors of its class, say what was foreseen."""
    own = known.typed_alike(name, run)
    others = own if len(own) >= FEW else known.typed_in_class(name, run)
    low, high = within
    return 2 * sum(low <= value <= high for value in others) > len(others) + 1


def _worded(name: str, run: Row, motor: Row | None, known: ForeseenBench, judged: Doubted) -> RunSuspect:
    whose = (motor or {}).get("name", "this motor")
    changes = "the motor" if QUANTITIES[name].unit != "°C" else ""
    own, value = known.typed_alike(name, run), run[name]
    low, high = QUANTITIES[name].likely
    if len(own) >= ENOUGH_RUNS and not min(own) <= value <= max(own):
        says, ends = f"{whose} has always been between {{low}} and {{high}} there", (min(own), max(own))
    elif not low <= value <= high:
        says, ends = USUAL, (low, high)
    elif name in run_figures.TIMING and run_figures.total_disagrees_in(run):
        return suspect_of(name, value, _against_total(run), "sensors", judged, changes)
    else:
        places = QUANTITIES[name].decimals
        says, ends = EXPECTED, (round(judged.low, places), round(judged.high, places))
    return spanned(name, value, says, ends, "poles" if judged.setting else "foreseen", judged, changes)


def _against_total(run: Row) -> str:
    mean = run_figures.mean_timing_of(run)
    return f"the total says {shown(run['timing_deg'])}, the mean of the sensors is {mean:.1f}"


def _total(run: Row, found: Mapping[str, Doubted]) -> Iterable[RunSuspect]:
    """A stated total that is not the mean of the sensors, where none of the four is plainly the wrong one."""
    if run_figures.total_disagrees_in(run) and not set(found) & set(run_figures.TIMING):
        cause = "one of total, A, B and C misread"
        yield worded("timing_deg", run["timing_deg"], _against_total(run), "sensors", cause)


def _speeds(run: Row, poles: int, found: Mapping[str, Doubted]) -> Iterable[RunSuspect]:
    """KV, rpm and erpm of one run say the same; the first of them counts."""
    voltage = run.get("test_voltage_v")
    if voltage is None or set(found) & set(SPEEDS):
        return
    per_volt = {"kv_rpm_per_v": 1.0, "rpm": voltage, "erpm": voltage * poles / 2}
    kv = {name: run[name] / per_volt[name] for name in SPEEDS if name in run}
    first = next(iter(kv), None)
    for name in kv:
        if first is not None and abs(kv[name] - kv[first]) > SPEEDS_DIFFER * kv[first]:
            wanted = round(kv[first] * per_volt[name])
            why = f"{QUANTITIES[first].label} {shown(run[first])} at {shown(voltage)} V makes {wanted}"
            yield replace(worded(name, run[name], why, "speed"), suggested=float(wanted))


def _stated_poles(run: Row, motor: Row | None) -> Iterable[RunSuspect]:
    """A tester that was set to other poles than the motor has, and the speeds it showed."""
    poles, assumed = (motor or {}).get("poles"), run.get("poles_assumed")
    if poles is None or assumed is None or assumed == poles:
        return
    cause, name = f"the tester was set to {shown(assumed)} poles", (motor or {}).get("name", "this motor")
    why = f"{name} has {shown(poles)} poles, so the tester's speeds are {poles / assumed:.3g} times the true ones"
    yield replace(worded("poles_assumed", assumed, why, "poles"), cause=cause, suggested=float(poles))
    for column in ("kv_rpm_per_v", "rpm"):
        if column in run:
            true = round(speed.corrected_for_poles(run[column], int(poles), int(assumed)), 1)
            yield replace(worded(column, run[column], why, "poles", cause), suggested=true)
