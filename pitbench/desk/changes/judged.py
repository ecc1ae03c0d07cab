"""What every change brought: the entries of the setup log with what bench and track say of each."""

from collections import defaultdict
from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeVar

from pitbench.desk.answered import counting
from pitbench.desk.answers import Change, ChangeOnBench, ChangeOnTrack, ChangesAnswer, Judged, Spread
from pitbench.desk.builds import in_order
from pitbench.desk.changes.together import Group, bench_groups, is_of_the_motor
from pitbench.desk.classes import NO_CLASS
from pitbench.desk.event_names import event_text
from pitbench.desk.forecasting.forecast import event_id_of, motor_of
from pitbench.desk.named import name_of
from pitbench.records.kinds import Row
from pitbench.records.spoken import FIGURES
from pitbench.store.logbook import Snapshot

if TYPE_CHECKING:
    from pitbench.desk.changes.bench import OnTheBench
    from pitbench.desk.changes.track import OnTheTrack
    from pitbench.figures.intervals import Interval

Found = TypeVar("Found")
BROUGHT = ("what changes brought",)
"""What screens call the question of all changes by."""
UNKNOWN = Spread(None, None, None)
ON_THE_BENCH = tuple(name for name in FIGURES if name not in ("track_pace_s", "finish_temp_c"))


def asked(snapshot: Snapshot, motor: str | None = None, event: str | None = None) -> list[Judged]:
    """What each change brought: all, or those of a motor, of an event, by name. Refusal for an unknown name."""
    motor_id = None if motor is None else motor_of(snapshot, motor)["id"]
    event_id = None if event is None else event_id_of(snapshot, event)
    return judged(snapshot, motor_id, event_id)


def changes_of(found: Sequence[Judged]) -> ChangesAnswer:
    """What other programs rely on."""
    return ChangesAnswer([each.change for each in found])


def judged(snapshot: Snapshot, motor_id: str | None = None, event_id: str | None = None) -> list[Judged]:
    """What each change brought, the oldest first; motor_id, event_id: only those of it.

    The same records always give the same numbers, in whatever order they came in.
    """
    entries = sorted(snapshot.rows("setup_entry"), key=in_order)
    wanted = [
        entry
        for entry in entries
        if motor_id in (None, entry.get("motor_id")) and event_id in (None, entry.get("event_id"))
    ]
    if not wanted:
        return []
    bench, track = _by_entry(_bench(snapshot)), _by_entry(_track(snapshot))
    return [_judged(snapshot, e, bench.get(e["id"]), track.get(e["id"])) for e in wanted]


def _by_entry(told: "Sequence[tuple[Group, Found]]") -> "dict[str, tuple[Group, Found]]":
    return {entry["id"]: (group, found) for group, found in told for entry in group.entries}


def _with(entry: Row, group: Group) -> list[str]:
    """What else was changed with it."""
    return [str(other["what"]) for other in group.entries if other["id"] != entry["id"]]


def _bench(snapshot: Snapshot) -> "list[tuple[Group, OnTheBench | None]]":
    """Class by class."""
    groups = bench_groups(snapshot, counting(snapshot.rows("bench_run")))
    if not groups:
        return []
    from pitbench.desk.changes.bench import on_the_bench

    sheets = {sheet["id"]: sheet["name"] for sheet in snapshot.rows("class_sheet")}
    classes: dict[str, list[Group]] = defaultdict(list)
    for group in groups:
        motor = snapshot.row("motor", group.entries[0]["motor_id"]) or {}
        if "binned_at" not in motor and "owner" not in motor:
            classes[sheets.get(motor.get("class_id", ""), NO_CLASS)].append(group)
    return [pair for name, own in classes.items() for pair in zip(own, on_the_bench(snapshot, name, own), strict=True)]


def _track(snapshot: Snapshot) -> "list[tuple[Group, OnTheTrack | None]]":
    if not snapshot.rows("track_run"):
        return []
    from pitbench.desk.changes.track import on_the_track

    return on_the_track(snapshot)


def _judged(
    snapshot: Snapshot,
    entry: Row,
    bench: "tuple[Group, OnTheBench | None] | None",
    track: "tuple[Group, OnTheTrack | None] | None",
) -> Judged:
    on_bench, on_track = bench[1] if bench else None, track[1] if track else None
    bench_with = _with(entry, bench[0]) if bench and on_bench else []
    track_with = _with(entry, track[0]) if track and on_track else []
    event = snapshot.row("event", entry.get("event_id", ""))
    power = on_bench.found.power_pct if on_bench and on_bench.found else None
    return Judged(
        entry_id=entry["id"],
        change=Change(
            written_at=entry["written_at"],
            event=event_text(event, snapshot.rows("event")) if event else None,
            motor=name_of(snapshot, "motor", entry.get("motor_id")) or None,
            what=entry["what"],
            was=entry.get("was"),
            now=entry.get("now"),
            bench=_on_bench(on_bench),
            track=_on_track(on_track),
            together_with=list(dict.fromkeys([*bench_with, *track_with])),
        ),
        power_pct=_spread(power) if power else None,
        bench_with=bench_with,
        track_with=track_with,
        car_change=not is_of_the_motor(entry),
    )


def _on_bench(found: "OnTheBench | None") -> ChangeOnBench | None:
    if found is None:
        return None
    figures = {name: _spread(found.found.figures[name] if found.found else None) for name in ON_THE_BENCH}
    return ChangeOnBench(found.before, found.after, figures, found.found.chance_helped if found.found else None)


def _on_track(found: "OnTheTrack | None") -> ChangeOnTrack | None:
    if found is None:
        return None
    pace, heat = found.pace, found.heat
    return ChangeOnTrack(
        before=found.before,
        after=found.after,
        track_pace_s=_spread(pace.difference if pace else None),
        finish_temp_c=_spread(heat.difference if heat else None),
        chance_helped=pace.chance_less if pace else None,
    )


def _spread(found: "Interval | None") -> Spread:
    return UNKNOWN if found is None else Spread(found.mean, found.low90, found.high90)
