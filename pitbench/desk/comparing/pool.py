"""The parts of a class as one comparison: every bench run with the build it was made on, every build that may be made.

A build is known by its three parts, in whatever motor it stood. The readings of all builds count, also of those that
are no longer together; what is ranked of motors is `gather`'s.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pitbench.desk.answered import answered, counting
from pitbench.desk.builds import BuildHistory, parts_of, since_key
from pitbench.desk.classes import class_asked, motors_of
from pitbench.desk.comparing.gather import Gathered, at_one_voltage, gearing_limit_of, usual_voltages
from pitbench.desk.comparing.legal_builds import Shelf, Triple, legal_builds, shelf_of, whole
from pitbench.desk.comparing.readings import comparison_of
from pitbench.desk.sessions import run_numbers, sessions, timely
from pitbench.desk.states import motor_work, states_of
from pitbench.figures.comparison import Drawn, draw
from pitbench.figures.estimate import DRAWS
from pitbench.figures.next_swap import Standing
from pitbench.figures.readings import Comparison, Parts
from pitbench.figures.swaps import Swaps, swaps
from pitbench.records.kinds import Row
from pitbench.records.names import name_key
from pitbench.records.team import Team
from pitbench.store.logbook import Snapshot

CELLS, LEAST_DRAWS, BLOCK = 1_000_000, 100, 20
"""Draws times builds that are worked out at most, draws made at least, and what draws are a multiple of."""


@dataclass(frozen=True)
class Pool:
    """shelf: the parts that can be used; legal: builds that may be made; tested: builds with a run, also of parts that
    cannot be used any more.

    motors: those that take part, in canonical order. gathered: None where no build was run.
    """

    class_row: Row | None
    shelf: Shelf
    legal: Sequence[Triple]
    tested: Sequence[Triple]
    motors: Sequence[Row]
    gathered: Gathered | None

    @property
    def levels(self) -> list[dict[str, int]]:
        """Number of every part within its kind: those that can be used first, then others that were tested."""
        found: list[dict[str, int]] = []
        for kind, parts in enumerate(self.shelf.parts):
            ids = dict.fromkeys([part["id"] for part in parts] + sorted(build[kind] for build in self.tested))
            found.append({part_id: i for i, part_id in enumerate(ids)})
        return found

    @property
    def builds(self) -> list[Triple]:
        """All builds that are drawn: those tested first."""
        return [*dict.fromkeys((*self.tested, *self.legal))]

    def comparison(self, settings: Team) -> Comparison | None:
        """What the engine is asked; None where nothing was run."""
        if self.gathered is None:
            return None
        levels = self.levels
        of = np.array([[levels[kind][part_id] for kind, part_id in enumerate(build)] for build in self.builds])
        stator, rotor, end_bell = (max(len(level), 1) for level in levels)
        asked = comparison_of(self.gathered, settings.volts_per_cell, settings.leads_mohm)
        return replace(asked, parts=Parts(of, (stator, rotor, end_bell)))

    def standing(self) -> Standing:
        """What the motors are built from now."""
        levels, now = self.levels, self.shelf.now
        rows = [
            [-1 if part is None else levels[kind].get(part, -1) for kind, part in enumerate(now[motor["id"]])]
            for motor in self.motors
        ]
        closed = [i for i, motor in enumerate(self.motors) if motor.get("check_motor")]
        return Standing(np.array(rows, dtype=np.int64).reshape(-1, len(levels)), closed)


def pool_of(snapshot: Snapshot, class_name: str | None = None) -> Pool:
    """Gather the parts of a class (None: of the newest bench run); Refusal for a class nobody wrote down."""
    every_run = timely(snapshot.rows("bench_run"))
    class_row = class_asked(snapshot, every_run, class_name)
    motors = [answered(motor) for motor in motors_of(snapshot, class_row) if "owner" not in motor]
    motors.sort(key=lambda motor: (name_key(motor["name"]), motor["id"]))
    history = BuildHistory(snapshot.rows("build"))
    shelf = shelf_of(snapshot, history, motors)
    runs = _runs_by_build(snapshot, counting(every_run), {motor["id"] for motor in motors})
    usual = usual_voltages([run for own in runs.values() for run in own])
    test_voltage, at_voltage = at_one_voltage(runs, usual)
    names = {part["id"]: name_key(part["name"]) for part in snapshot.rows("part")}
    tested = sorted((build for build, own in at_voltage.items() if own), key=lambda b: [names.get(p, p) for p in b])
    pool = Pool(
        class_row=class_row,
        shelf=shelf,
        legal=legal_builds(shelf, history, class_row),
        tested=tested,
        motors=[motor for motor in motors if motor["id"] in shelf.now],
        gathered=None,
    )
    if not tested:
        return pool
    session_of = sessions(every_run)
    state_of, state_now = _states(snapshot, history, {build: runs[build] for build in tested})
    as_motors = [_as_motor(build, runs[build], motors, history) for build in tested]
    return replace(
        pool,
        gathered=Gathered(
            class_row=class_row,
            gearing_limit=gearing_limit_of(class_row, None),
            motors=as_motors,
            runs=[_of_build(run, build) for build in tested for run in at_voltage[build]],
            session_of=session_of,
            number_of=run_numbers(every_run, session_of),
            as_built=[_of_build(run, build) for build in tested for run in runs[build]],
            on_the_motor=[motor for motor in as_motors if "resistance_mohm" in motor],
            test_voltage=test_voltage,
            voltage_assumed=set(),
            not_ranked=[],
            state_of=state_of,
            state_now={key_of(build): state for build, state in state_now.items()},
        ),
    )


def key_of(build: Triple) -> str:
    """A build where a comparison has a motor's id."""
    return " ".join(build)


def _of_build(run: Row, build: Triple) -> Row:
    return {**run, "motor_id": key_of(build)}


def _as_motor(build: Triple, runs: Sequence[Row], motors: Sequence[Row], history: BuildHistory) -> Row:
    """A build in place of a motor: with the resistance written on the motor whose first build it was."""
    run_in = {run["motor_id"] for run in runs}
    motor = next(motor for motor in motors if motor["id"] in run_in)
    found = {**motor, "id": key_of(build)}
    first = [m for m in motors if "resistance_mohm" in m and _first(history, m["id"]) == build]
    for name in ("resistance_mohm", "resistance_temp_c"):
        found.pop(name, None)
        if first and name in first[0]:
            found[name] = first[0][name]
    return found


def _first(history: BuildHistory, motor_id: str) -> Triple | None:
    builds = history.of(motor_id)
    return whole(parts_of(builds[0])) if builds else None


def drawn_of(pool: Pool, settings: Team, *, every_state: bool = False) -> Drawn | None:
    """Draws of every build; None where nothing was run. Of many builds fewer draws, or they would not fit.

    every_state: of every build in every state it was read in; then all of them were tested.
    """
    asked = pool.comparison(settings)
    if asked is None:
        return None
    asked = replace(asked, every_state=every_state)
    few = max(LEAST_DRAWS, CELLS // asked.n_drawn // BLOCK * BLOCK)
    return draw(asked, n_draws=min(DRAWS, few))


def swapped_of(pool: Pool, drawn: Drawn, settings: Team) -> Swaps:
    """The builds that may be made, scored as the team set weights and margins."""
    place = {build: i for i, build in enumerate(pool.builds)}
    return swaps(drawn, settings.weights, settings.margins, [place[build] for build in pool.legal])


def _runs_by_build(snapshot: Snapshot, runs: Iterable[Row], motors: Collection[str]) -> dict[Triple, list[Row]]:
    """Runs of these motors by the parts they were made with; a build with a gap cannot have run."""
    parts = {build["id"]: whole(parts_of(build)) for build in snapshot.rows("build")}
    found: dict[Triple, list[Row]] = defaultdict(list)
    for run in runs:
        build = parts.get(run["build_id"])
        if build is not None and run["motor_id"] in motors:
            found[build].append(run)
    return found


def _states(
    snapshot: Snapshot, history: BuildHistory, runs: Mapping[Triple, Sequence[Row]]
) -> tuple[dict[str, int], dict[Triple, int]]:
    """The state every run was made in and the newest of every build, by the work done while it was together."""
    work: dict[Triple, list[str]] = defaultdict(list)
    for motor_id, times in motor_work(snapshot).items():
        builds = history.of(motor_id)
        starts = [since_key(build) for build in builds]
        for at in times:
            build = whole(parts_of(builds[max(bisect_right(starts, at) - 1, 0)])) if builds else None
            if build is not None:
                work[build].append(at)
    state_of: dict[str, int] = {}
    now = {}
    for build, own in runs.items():
        if build in work:
            states, now[build] = states_of(sorted(work[build]), [run["taken_at"] for run in own])
            state_of.update(zip((run["id"] for run in own), states, strict=True))
    return state_of, now
