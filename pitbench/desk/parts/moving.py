"""The time of a swap put right: its entry of the setup log is edited, and the builds and the other motor's entry go
along. What a swap is, and how one is made, stands in `swapping`.
"""

from typing import TYPE_CHECKING

from pitbench.desk.builds import parts_of, since_key
from pitbench.desk.fitting import fitted_records, must_not_share
from pitbench.desk.states import PARTS
from pitbench.desk.workshop import Workshop
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import name_key
from pitbench.records.refusal import Refusal
from pitbench.records.stamps import shown_stamp, time_key
from pitbench.records.typed import label_of, sentence

if TYPE_CHECKING:
    from pitbench.records.frame import Record


def builds_told_by(source: Source, entry: Row) -> list[Row]:
    """The builds that came into force with a swap, given an entry of it: of its motor and of those that changed parts
    with it; none where the entry is no swap."""
    if name_key(entry["what"]) not in PARTS:
        return []
    at = time_key(entry["written_at"])
    then = {b["motor_id"]: b for b in source.rows("build") if b.get("fitted", True) and since_key(b) == at}
    if entry.get("motor_id") not in then:
        return []
    entries = [other for other in source.rows("setup_entry") if _is_of(other, at, then)]
    motors, kinds = {entry["motor_id"]}, {name_key(entry["what"])}
    while True:
        more = [e for e in entries if e["motor_id"] in motors or _gives_and_takes(e, entries, motors, kinds)]
        if motors >= {e["motor_id"] for e in more}:
            return [then[motor_id] for motor_id in sorted(motors)]
        motors |= {e["motor_id"] for e in more}
        kinds |= {name_key(e["what"]) for e in more}


def _is_of(entry: Row, at: str, then: dict[str, Row]) -> bool:
    return time_key(entry["written_at"]) == at and entry.get("motor_id") in then and name_key(entry["what"]) in PARTS


def _gives_and_takes(entry: Row, entries: list[Row], motors: set[str], kinds: set[str]) -> bool:
    """Whether a part of this kind went from one of these motors into the entry's, or the other way."""
    others = (e for e in entries if e["motor_id"] in motors and name_key(e["what"]) == name_key(entry["what"]))
    return name_key(entry["what"]) in kinds and any(
        e.get("was") == entry.get("now") or e.get("now") == entry.get("was") for e in others
    )


def swap_at(source: Source, entry: Row, at: str) -> "list[Record]":
    """What must be saved when the swap that this entry tells of was made at another time: builds, runs made meanwhile,
    the other entries of it. Raises Refusal where parts of it were moved between the two times."""
    told = builds_told_by(source, entry)
    was, now = time_key(entry["written_at"]), time_key(at)
    if not told or was == now:
        return []
    workshop = Workshop(source)
    first, last = sorted((was, now))
    moved = {part_id for build in told for part_id in parts_of(build) if part_id}
    for build in workshop.history.all():
        ours = build["motor_id"] in {each["motor_id"] for each in told}
        if first <= since_key(build) <= last and build not in told and (ours or moved & {*parts_of(build)}):
            why = f"is past what else was done with these parts on {shown_stamp(build.get('since', 'the first day'))}"
            raise Refusal(sentence(label_of("written_at"), shown_stamp(at), why), field="written_at")
    for build in told:
        workshop.refit(build, {}, since=at)
    for build in told:
        must_not_share(workshop, source, build["motor_id"])
    then = {build["motor_id"]: build for build in told}
    entries = [row for row in source.rows("setup_entry") if _is_of(row, was, then) and row["id"] != entry["id"]]
    model = model_of("setup_entry")
    return [*fitted_records(workshop, source), *(model.of({**row, "written_at": at}) for row in entries)]
