"""Parts put into a motor from a time on: what that does to builds known to be later, and to runs made since then.

Both ways to say so come here: the form of a motor, and a swap. Builds are made by `workshop`, in force by `builds`.
"""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from pitbench.desk.builds import BuildHistory, rehoused, since_key
from pitbench.desk.workshop import Named, Workshop
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.refusal import Refusal
from pitbench.records.stamps import shown_stamp, time_key
from pitbench.records.typed import label_of, sentence

if TYPE_CHECKING:
    from pitbench.records.frame import Record


def put_in(workshop: Workshop, motor: Row, since: str, parts: Mapping[str, Named]) -> None:
    """Fit parts; a later build that was thought to have the old ones still has the new ones too. Raises Refusal where
    one of a kind was changed later."""
    before = workshop.names(workshop.build_at(motor, since))
    workshop.fit(motor, since, parts)
    for build in workshop.history.of(motor["id"]):
        if since_key(build) <= time_key(since):
            continue
        has = workshop.names(build)
        for kind in parts:
            if has[kind] != before[kind]:
                what = f"{motor['name']}'s {label_of(kind)} on {shown_stamp(build['since'])}"
                why = f"cannot be older than the change of {what}"
                raise Refusal(sentence(label_of("since"), shown_stamp(since), why), field="since")
        workshop.refit(build, parts)


def must_not_share(workshop: Workshop, source: Source, motor_id: str) -> None:
    """A part is in one motor at a time; raises Refusal where another motor got one from the very same time on."""
    for build in workshop.history.of(motor_id):
        if build["id"] not in workshop.to_save:
            continue
        names = workshop.names(build)
        for kind, other_id in workshop.history.sharers(build):
            other = source.row("motor", other_id)
            if other is not None and "binned_at" not in other:
                why = f"is in {other['name']} from the same time on; another part or another time would be right"
                raise Refusal(sentence(label_of(kind), str(names[kind]), why), field=kind)


def fitted_records(workshop: Workshop, source: Source) -> "Iterator[Record]":
    """Parts and builds to save, and the runs made on a build that is known only now."""
    before = BuildHistory(source.rows("build"))
    runs = {run["id"]: (kind, run) for kind in ("bench_run", "track_run") for run in source.rows(kind)}
    rows = [run for _, run in runs.values()]
    moved = workshop.settle(rows) | rehoused(before, workshop.history, rows)
    yield from workshop.to_save.values()
    for run_id, build_id in moved.items():
        kind, run = runs[run_id]
        yield model_of(kind).of({**run, "build_id": build_id})
