"""What parts are worth, which build is likely the best, what to test next: the answer about the parts of a class."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import replace

from pitbench.desk.answers import (
    BuildChance,
    BuildToTest,
    Move,
    PartsAnswer,
    PartWorth,
    Spread,
    SwapAdvice,
    SwapsAnswer,
)
from pitbench.desk.builds import parts_of, since_key
from pitbench.desk.comparing.gather import as_of
from pitbench.desk.comparing.legal_builds import Triple
from pitbench.desk.comparing.minutes import minutes_of
from pitbench.desk.comparing.pool import Pool, drawn_of, pool_of, swapped_of
from pitbench.desk.comparing.ranking import unseen_pct_of
from pitbench.figures.intervals import Interval
from pitbench.figures.next_swap import NextSwap, next_swap
from pitbench.figures.swaps import Swaps, Worth
from pitbench.records.fields import PART_KINDS
from pitbench.records.spoken import FIGURES
from pitbench.store.logbook import Snapshot

EVENING = 240.0
"""Minutes a test may take to be advised at all. Ours."""


def parts_answer(snapshot: Snapshot, class_name: str | None = None) -> PartsAnswer:
    """The parts of a class (None: that of the newest bench run); Refusal for a class nobody wrote down.

    The same records always give the same numbers, in whatever order they came in.
    """
    pool, settings = pool_of(snapshot, class_name), snapshot.team()
    drawn = drawn_of(pool, settings)
    found = advice = None
    if drawn is not None and pool.legal:
        found = swapped_of(pool, replace(drawn, unseen_pct=unseen_pct_of(snapshot, class_name)), settings)
        if len(pool.legal) > 1:
            advice = next_swap(found, pool.standing(), minutes_of(settings), within=EVENING)
    names = _names(pool)
    order = _best_first(found, len(pool.legal))
    builds = [_build(pool, names, found, nth) for nth in order]
    parts, power = _parts(snapshot, pool, found)
    told = _advice(pool, names, advice) if advice else None
    return PartsAnswer(
        class_=pool.class_row["name"] if pool.class_row else None,
        as_of=as_of(pool.gathered.runs) if pool.gathered else None,
        swaps=SwapsAnswer(parts, builds if found else [], told.build if told else None),
        in_motor=[_stands_in(pool, pool.legal[nth]) for nth in order] if found else [],
        power_pct=power,
        advice=told,
        even_chance=found.even_chance if found else None,
        minutes=settings.test_minutes,
    )


def _best_first(found: Swaps | None, count: int) -> list[int]:
    if found is None:
        return list(range(count))
    return sorted(range(count), key=lambda nth: (-found.builds[nth].score.mean, nth))


def _names(pool: Pool) -> dict[str, str]:
    return {part["id"]: part["name"] for parts in pool.shelf.parts for part in parts}


def _build(pool: Pool, names: Mapping[str, str], found: Swaps | None, nth: int) -> BuildChance:
    build = pool.legal[nth]
    worth = found.builds[nth] if found else None
    score = worth.score if worth else Interval(0.0, 0.0, 0.0)
    stator, rotor, end_bell = (names[part_id] for part_id in build)
    return BuildChance(
        stator,
        rotor,
        end_bell,
        tested=build in set(pool.tested),
        chance_best=worth.chance_best if worth else 0.0,
        score_pct=score.mean,
        score_low90=score.low90,
        score_high90=score.high90,
        even_place=worth.even_place if worth else None,
    )


def _stands_in(pool: Pool, build: Triple) -> str | None:
    """The motor that is built like this now."""
    return next((motor["name"] for motor in pool.motors if pool.shelf.now[motor["id"]] == build), None)


def _parts(snapshot: Snapshot, pool: Pool, found: Swaps | None) -> tuple[list[PartWorth], list[Spread | None]]:
    """Every part that can be used, kind by kind, and what it is worth at load in percent."""
    moved, tested = _moves(snapshot), set(pool.tested)
    worths, power = [], []
    for kind, parts in enumerate(pool.shelf.parts):
        of_kind = found.worths(kind, len(parts)) if found and parts else []
        for nth, part in enumerate(parts):
            worth = of_kind[nth] if of_kind else Worth({}, None)
            home = pool.shelf.in_motor.get(part["id"])
            worths.append(
                PartWorth(
                    kind=PART_KINDS[kind],
                    part=part["name"],
                    in_=home["name"] if home else None,
                    moved=moved[part["id"]] + (home is None),
                    separated=_separated(part["id"], kind, tested),
                    figures={name: _spread(worth.figures.get(name)) for name in FIGURES},
                )
            )
            power.append(_spread(worth.power_pct))
    return worths, power


def _spread(interval: Interval | None) -> Spread | None:
    return None if interval is None else Spread(interval.mean, interval.low90, interval.high90)


def _moves(snapshot: Snapshot) -> dict[str, int]:
    """How often every part went into another motor than it was in, to stay or to be tried."""
    found: dict[str, int] = defaultdict(int)
    homes: dict[str, list[str]] = defaultdict(list)
    builds = sorted(snapshot.rows("build"), key=lambda build: (since_key(build), build["id"]))
    for build in (build for build in builds if build.get("fitted", True)):
        for part_id in filter(None, parts_of(build)):
            if homes[part_id] and homes[part_id][-1] != build["motor_id"]:
                found[part_id] += 1
            homes[part_id].append(build["motor_id"])
    for build in (build for build in builds if not build.get("fitted", True)):
        for part_id in filter(None, parts_of(build)):
            if build["motor_id"] not in homes[part_id]:
                found[part_id] += 1
                homes[part_id].append(build["motor_id"])
    return found


def _separated(part_id: str, kind: int, tested: Collection[Triple]) -> bool:
    """Whether tested builds part it from all its neighbours: with none of them it always came and went."""
    own = {build for build in tested if build[kind] == part_id}
    others = {(other, build[other]) for build in own for other in range(len(PART_KINDS)) if other != kind}
    return bool(own) and all(own != {b for b in tested if b[other] == neighbour} for other, neighbour in others)


def _advice(pool: Pool, names: Mapping[str, str], advice: NextSwap) -> SwapAdvice:
    build = pool.legal[advice.build]
    motor = pool.motors[advice.motor]
    stator, rotor, end_bell = (names[part_id] for part_id in build)
    tested = set(pool.tested)
    beside = _stands_in(pool, pool.legal[advice.beside]) if advice.beside is not None else None
    return SwapAdvice(
        build=BuildToTest(stator, rotor, end_bell, why=""),
        motor=motor["name"],
        moves=[_move(pool, names, build, kind) for kind in advice.moved],
        beside=beside,
        opens_it=any(pool.motors[opened]["name"] == beside for opened in advice.opened),
        rival=_stands_in(pool, pool.legal[advice.rival]) if advice.rival is not None else None,
        chance_better=advice.chance_better,
        gain_pct=advice.by_pct,
        runs=advice.runs,
        winding=advice.winding,
        minutes=advice.minutes,
        unparted=[names[part_id] for kind, part_id in enumerate(build) if not _separated(part_id, kind, tested)],
    )


def _move(pool: Pool, names: Mapping[str, str], build: Triple, kind: int) -> Move:
    home = pool.shelf.in_motor.get(build[kind])
    return Move(PART_KINDS[kind], names[build[kind]], home["name"] if home else None)
