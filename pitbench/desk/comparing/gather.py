"""What a ranking needs, gathered from plain rows: motors of one class as built now, their runs at one test voltage.

Who is compared and which readings count is decided here and nowhere else; nothing is computed here that figures can.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any, TypeVar

from pitbench.desk.answered import answered, counting
from pitbench.desk.answers import NotRanked
from pitbench.desk.builds import BuildHistory
from pitbench.desk.classes import class_asked, motors_of, takes_part
from pitbench.desk.comparing.load_logs import logs_of
from pitbench.desk.run_figures import same_voltage
from pitbench.desk.sessions import run_numbers, sessions, timely
from pitbench.desk.states import motor_work, states_of
from pitbench.records.kinds import Row
from pitbench.records.names import name_key
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import GEARING
from pitbench.records.stamps import time_key
from pitbench.store.logbook import Snapshot

Of = TypeVar("Of")


@dataclass(frozen=True)
class Gathered:
    """What is compared, in rows. motors and runs in canonical order; a run's motor is in motors, at `test_voltage`.

    as_built: all runs of the motors as they are built now, at any voltage; runs are some of them. on_the_motor: motors
    whose own resistance is a reading of that build. state_of: which state of its motor each of these runs was made in;
    state_now: the state every motor is in, by its id. logs: load logs of the motors as they are built now.
    """

    class_row: Row | None
    gearing_limit: str
    motors: list[Row]
    runs: list[Row]
    session_of: Mapping[str, Any]
    number_of: Mapping[str, int]
    as_built: list[Row]
    on_the_motor: list[Row]
    test_voltage: float | None
    voltage_assumed: set[str]
    not_ranked: list[NotRanked]
    state_of: Mapping[str, int]
    state_now: Mapping[str, int]
    logs: Sequence[Row] = ()


def gather(
    snapshot: Snapshot,
    class_name: str | None = None,
    gearing_limit: str | None = None,
    leave_out: Collection[str] = (),
    guests: Collection[str] = (),
) -> Gathered:
    """Choose the class, the user's motors in use as they are built now, and their runs; an unknown class is a Refusal.

    leave_out: ids of runs taken for excluded, to see what would become of the ranking. guests: ids of motors of the
    class that take part this once, though not in use or not the user's.
    """
    every_run = timely(snapshot.rows("bench_run"))
    class_row = class_asked(snapshot, every_run, class_name)
    of_class = motors_of(snapshot, class_row)
    motors: list[Row] = [answered(motor) for motor in of_class if takes_part(motor) or motor["id"] in guests]
    motors.sort(key=lambda motor: (name_key(motor["name"]), motor["id"]))
    counted = [run for run in counting(every_run) if run["id"] not in leave_out]
    history = BuildHistory(snapshot.rows("build"))
    why, as_built = _as_built(motors, counted, history)
    usual = usual_voltages(counted)
    test_voltage, at_voltage = at_one_voltage(as_built, usual)
    why |= {motor_id: "other_voltage" for motor_id, runs in at_voltage.items() if not runs}
    ranked = [motor for motor in motors if motor["id"] not in why]
    session_of = sessions(every_run)
    state_of, state_now = _states(snapshot, {motor["id"]: as_built[motor["id"]] for motor in ranked})
    return Gathered(
        class_row=class_row,
        gearing_limit=gearing_limit_of(class_row, gearing_limit),
        motors=ranked,
        runs=[run for motor in ranked for run in at_voltage[motor["id"]]],
        session_of=session_of,
        number_of=run_numbers(every_run, session_of),
        as_built=[run for motor in ranked for run in as_built[motor["id"]]],
        on_the_motor=[motor for motor in ranked if "resistance_mohm" in motor and len(history.of(motor["id"])) <= 1],
        test_voltage=test_voltage,
        voltage_assumed={run["motor_id"] for run in counted if usual and "test_voltage_v" not in run},
        not_ranked=[NotRanked(motor["name"], why[motor["id"]]) for motor in motors if motor["id"] in why],
        state_of=state_of,
        state_now=state_now,
        logs=logs_of(snapshot, ranked, history),
    )


def at_one_voltage(
    as_built: Mapping[Of, Sequence[Row]], usual: Mapping[str | None, float]
) -> tuple[float | None, dict[Of, list[Row]]]:
    """The test voltage that most motors, or builds, share, and the runs of each of them at it."""
    voltages = {motor_id: [_voltage(run, usual) for run in runs] for motor_id, runs in as_built.items()}
    counts = Counter(voltage for found in voltages.values() for voltage in found)
    test_voltage = _shared_voltage(counts)
    agreeing = {voltage for voltage in counts if same_voltage(voltage, test_voltage)}
    return test_voltage, {
        motor_id: [run for run, at in zip(runs, voltages[motor_id], strict=True) if at in agreeing]
        for motor_id, runs in as_built.items()
    }


def _states(snapshot: Snapshot, runs: Mapping[str, Sequence[Row]]) -> tuple[dict[str, int], dict[str, int]]:
    """The state every run was made in, and the one every motor is in now; nothing where nobody worked on a motor."""
    work = motor_work(snapshot)
    state_of: dict[str, int] = {}
    state_now: dict[str, int] = {}
    for motor_id, own in runs.items():
        if motor_id in work:
            states, state_now[motor_id] = states_of(work[motor_id], [run["taken_at"] for run in own])
            state_of.update(zip((run["id"] for run in own), states, strict=True))
    return state_of, state_now


def gearing_limit_of(class_row: Row | None, wanted: str | None) -> str:
    """What was asked for, else what the class sheet says; rules where it caps rollout or final drive ratio."""
    if wanted is not None:
        if wanted not in GEARING:
            *most, last = GEARING
            raise Refusal(f"{wanted} is no gearing limit; {', '.join(most)} or {last} would be right.")
        return wanted
    sheet = class_row or {}
    capped = "max_rollout_mm" in sheet or "min_fdr" in sheet
    return str(sheet.get("gearing_limit") or ("rules" if capped else "unknown"))


def _as_built(
    motors: Sequence[Row], runs: Sequence[Row], history: BuildHistory
) -> tuple[dict[str, str], dict[str, list[Row]]]:
    """Why a motor cannot be ranked, and for all others their runs on the build in force."""
    why: dict[str, str] = {}
    found: dict[str, list[Row]] = {}
    by_motor: dict[str, list[Row]] = defaultdict(list)
    for run in runs:
        by_motor[run["motor_id"]].append(run)
    for motor in motors:
        own = by_motor[motor["id"]]
        build = history.in_force(motor["id"])
        now = None if build is None else history.one(build["id"])
        as_built = [run for run in own if now in (None, history.one(run["build_id"]))]
        if history.missing(motor["id"]):
            why[motor["id"]] = "part_missing"
        elif not as_built:
            why[motor["id"]] = "new_build" if own else "no_run"
        else:
            found[motor["id"]] = as_built
    return why, found


def usual_voltages(runs: Sequence[Row]) -> dict[str | None, float]:
    """The test voltage most used by every tester that ever wrote one down, and by all together under None."""
    counts: dict[str | None, Counter[float]] = defaultdict(Counter)
    pairs = Counter((run.get("tester"), run["test_voltage_v"]) for run in runs if "test_voltage_v" in run)
    for (tester, voltage), count in pairs.items():
        for lot in (tester_named(tester), None):
            counts[lot][voltage] += count
    return {lot: min(found, key=lambda voltage: (-found[voltage], voltage)) for lot, found in counts.items()}


def _voltage(run: Row, usual: Mapping[str | None, float]) -> float | None:
    """Test voltage of a run, a blank one the tester's most used, else that of all; None where nobody wrote one."""
    voltage: float | None = run.get("test_voltage_v")
    return usual.get(tester_named(run.get("tester")), usual.get(None)) if voltage is None else voltage


def tester_named(name: str | None) -> str:
    """A tester as names are matched; runs without one belong together."""
    return name_key(name or "")


def _shared_voltage(counts: Mapping[float | None, int]) -> float | None:
    """The voltage most runs share, given how many have each: the median of the largest lot within 0.1 V of one."""
    known = sorted(voltage for voltage in counts if voltage is not None)
    largest: list[float] = []
    for voltage in known:
        lot = [other for other in known if same_voltage(other, voltage) for _ in range(counts[other])]
        largest = max(largest, lot, key=len)
    return median(largest) if largest else None


def as_of(runs: Sequence[Row]) -> str | None:
    """Time of the newest run used."""
    return max((run["taken_at"] for run in runs), key=time_key, default=None)
