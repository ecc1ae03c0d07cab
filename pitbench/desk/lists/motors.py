"""What do I own, what is it built from, and how does each stand? One line a motor, with the figures of its ranking.

Light at import, and one pass over the runs: the first list waits for it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pitbench.desk import run_figures
from pitbench.desk.answered import counting, motors_waiting
from pitbench.desk.builds import BuildHistory, in_order, named_parts, parts_text
from pitbench.desk.classes import class_called
from pitbench.desk.named import name_of
from pitbench.desk.states import stands_since, work_since
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.rounds import round_text
from pitbench.store.logbook import Snapshot

if TYPE_CHECKING:
    from pitbench.desk.answers import FigureOf, OddRun, RankedMotor, Spread
    from pitbench.desk.comparing.ranked import Ranked
    from pitbench.desk.comparing.worn import MotorWear

Rankings = Mapping[str | None, "Ranked | None"]
"""By class name, None for motors without a class; None: it is not worked out yet."""


@dataclass(frozen=True)
class MotorLine:
    """One motor as the list shows it; a figure that is not known is None.

    ranking: the ranking of its class has come. chance: of being best, None where nothing compares with it. against: how
    far its KV lies from the mean of its class. not_ranked: why, if it is not. odd_run: the run of it that the ranking
    would look at again. waits: how many of its numbers wait for an answer. work: the setup entry of the last work on
    it, where no bench run came after it; since: where one did. named: parts without those that are its own; lacks:
    kinds of part it lacks. wear: whether it gets slower.
    """

    id: str
    name: str
    class_name: str | None
    turns: float | None
    poles: float | None
    parts: str
    runs: int
    track_runs: int
    kv: FigureOf | None
    current: FigureOf | None
    resistance: FigureOf | None
    timing: float | None
    last_on: str | None
    check_motor: bool
    in_use: bool
    note: str
    ranking: bool = False
    chance: float | None = None
    leads: bool = False
    against: Spread | None = None
    not_ranked: str = ""
    odd_run: OddRun | None = None
    waits: int = 0
    work: Row | None = None
    since: Row | None = None
    named: str = ""
    lacks: Sequence[str] = ()
    wear: MotorWear | None = None

    @property
    def doubtful(self) -> bool:
        """Whether it has a gap, a number of it waits, it drifts, or figures rest on a plainly odd run."""
        plainly_odd = self.odd_run is not None and self.odd_run.plain
        return bool(self.waits or self.lacks) or plainly_odd or (self.wear is not None and self.wear.drifts)


def class_names(snapshot: Snapshot) -> dict[str | None, str | None]:
    """Id of each class that has a motor, with its name; None for motors without a class."""
    names: dict[str | None, str | None] = {row["id"]: row["name"] for row in snapshot.rows("class_sheet")}
    return {class_id: names.get(class_id) for class_id in {m.get("class_id") for m in snapshot.rows("motor")}}


def class_of(snapshot: Snapshot, motor_id: str) -> str | None:
    """Name of the class of this motor."""
    return class_called(snapshot, snapshot.row("motor", motor_id) or {}) or None


def of_one_class(snapshot: Snapshot, motor_id: str) -> list[tuple[str, str]]:
    """Id and name of every motor of the class of this one, by name."""
    motor = snapshot.row("motor", motor_id) or {}
    own = [each for each in snapshot.rows("motor") if each.get("class_id") == motor.get("class_id")]
    return sorted(((each["id"], each["name"]) for each in own), key=lambda each: name_key(each[1]))


def motor_named(snapshot: Snapshot, name: str | None) -> str | None:
    """Id of the motor of this very name."""
    return next((motor["id"] for motor in snapshot.rows("motor") if motor["name"] == name), None)


@dataclass(frozen=True)
class ClassLine:
    """A class as the head of its motors: its means of KV, rpm/V, and current, A. None: the motors not in use."""

    name: str | None
    kv: float | None = None
    current: float | None = None


def with_heads(lines: Sequence[MotorLine], ranked: Rankings) -> list[ClassLine | MotorLine]:
    """The lines, each lot of one class under its head."""
    found: list[ClassLine | MotorLine] = []
    before: tuple[bool, str | None] | None = None
    for line in lines:
        lot = (line.in_use, line.class_name if line.in_use else None)
        found += [line] if lot == before else [_head(line, ranked), line]
        before = lot
    return found


def _head(line: MotorLine, ranked: Rankings) -> ClassLine:
    if not line.in_use:
        return ClassLine(None)
    known = ranked.get(line.class_name)
    means = known.against if known else None
    return ClassLine(line.class_name or "", means.kv if means else None, means.current if means else None)


def motor_lines(snapshot: Snapshot, ranked: Rankings) -> list[MotorLine]:
    """Every motor: by class, within it by name, those not in use last; a ranking that comes later moves no line."""
    classes, motors = class_names(snapshot), snapshot.rows("motor")
    history = BuildHistory(snapshot.rows("build"))
    builds = {motor["id"]: build for motor in motors if (build := history.in_force(motor["id"])) is not None}
    taken, timings = _from_runs(snapshot, history, {motor_id: build["id"] for motor_id, build in builds.items()})
    raced = Counter(run["motor_id"] for run in snapshot.rows("track_run"))
    waits = motors_waiting(snapshot)
    last_on = {motor_id: max(when) for motor_id, when in taken.items() if when}
    work, since = work_since(snapshot, last_on), stands_since(snapshot, last_on)
    told = {name: _told(each) for name, each in ranked.items() if each}
    lines = []
    for motor in motors:
        when, angles, name = taken[motor["id"]], timings[motor["id"]], classes[motor.get("class_id")]
        build, lacks = builds.get(motor["id"]), history.missing(motor["id"])
        lines.append(
            MotorLine(
                id=motor["id"],
                name=motor["name"],
                class_name=name,
                turns=motor.get("turns"),
                poles=motor.get("poles"),
                parts=parts_text(snapshot, build, lacks),
                runs=len(when),
                track_runs=raced[motor["id"]],
                timing=sum(angles) / len(angles) if angles else None,
                last_on=max(when, default=None),
                check_motor=motor.get("check_motor", False),
                in_use=motor.get("in_use", True),
                note=motor.get("note", ""),
                ranking=name in told,
                waits=waits.get(motor["id"], 0),
                work=work.get(motor["id"]),
                since=since.get(motor["id"]),
                named=named_parts(snapshot, build, lacks),
                lacks=lacks,
                **told.get(name, {}).get(motor["name"], _UNTOLD),
            )
        )

    def order(line: MotorLine) -> tuple[Any, ...]:
        of_class = (line.class_name is None, name_key(line.class_name or ""))
        return (not line.in_use, of_class, name_key(line.name))

    return sorted(lines, key=order)


_UNTOLD: dict[str, Any] = {"kv": None, "current": None, "resistance": None}


def _told(ranked: Ranked) -> dict[str, dict[str, Any]]:
    """What a ranking tells of every motor it knows, by name and field."""
    answer, against = ranked.answer, ranked.against
    compares = len(answer.motors) > 1
    found = {
        each.motor: {
            **_figures(each),
            "chance": each.chance_best if compares else None,
            "leads": compares and each.place == 1,
            "against": against.kv_by_motor.get(each.motor) if against else None,
            "wear": ranked.wear.get(each.motor),
        }
        for each in answer.motors
    }
    found |= {other.motor: {**_UNTOLD, "not_ranked": other.why} for other in answer.not_ranked}
    for odd in reversed(ranked.odd_runs):  # of several the first
        found[odd.motor] = {**found.get(odd.motor, _UNTOLD), "odd_run": odd}
    return found


def _figures(motor: RankedMotor) -> dict[str, Any]:
    names = {"kv": "kv_rpm_per_v", "current": "no_load_current_a", "resistance": "resistance_mohm"}
    return {field: motor.figures[name] for field, name in names.items()}


def _from_runs(
    snapshot: Snapshot, history: BuildHistory, build_ids: Mapping[str, str]
) -> tuple[dict[str, list[str]], dict[str, list[float]]]:
    """When each motor was run, and the timings of the runs the ranking counts too: of the motor as it is built now."""
    taken: dict[str, list[str]] = defaultdict(list)
    timings: dict[str, list[float]] = defaultdict(list)
    runs = snapshot.rows("bench_run")
    for run in runs:
        taken[run["motor_id"]].append(run["taken_at"])
    now = {motor_id: history.one(build_id) for motor_id, build_id in build_ids.items()}
    counted = [r for r in counting(runs) if history.one(r["build_id"]) == now.get(r["motor_id"])]
    for run, timing in zip(counted, run_figures.timings_of(counted), strict=True):
        if timing is not None:
            timings[run["motor_id"]].append(timing)
    return taken, timings


@dataclass(frozen=True)
class Raced:
    """How many track runs, the stamp of the last one, and its event or track with its round."""

    runs: int
    last_on: str
    where: str


def raced_of(source: Source, motor_id: str) -> Raced | None:
    """The track runs of a motor, those left out of figures too; None if it was never raced."""
    runs = [each for each in source.rows("track_run") if each["motor_id"] == motor_id]
    if not runs:
        return None
    last = max(runs, key=in_order)
    event = name_of(source, "event", last.get("event_id"))
    where = ", ".join(text for text in (event or last.get("track", ""), round_text(last)) if text)
    return Raced(len(runs), last["started_at"], where)
