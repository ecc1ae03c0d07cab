"""A swap of parts, as typed and as saved: which part goes into which motor, and what becomes of the old one.

A part out of another motor changes places with the old one; a spare or a new part makes the old one a spare; `missing`
takes it out and leaves a gap. One save: builds, the runs made since, and an entry of the setup log for every motor
that was opened. How parts get into motors knows `fitting`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from pitbench.desk.builds import BuildHistory, made_at, own_part_name, parts_of
from pitbench.desk.fitting import fitted_records, must_not_share, put_in
from pitbench.desk.named import must_be_named
from pitbench.desk.places import event_on
from pitbench.desk.workshop import Workshop
from pitbench.records.fields import PART_KINDS
from pitbench.records.ids import new_id
from pitbench.records.keys import key_for
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import Gap, clean_name, clean_note, clean_text, name_key
from pitbench.records.reading import read_choice
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import change_words
from pitbench.records.stamps import moment, read_stamp, stamp_of, time_key
from pitbench.records.typed import label_of, made, read_all, refuse, sentences
from pitbench.store.logbook import Logbook, Snapshot

if TYPE_CHECKING:
    from pitbench.records.frame import Record

FIELDS = ("motor", "part", "kind", "written_at", "why")
NOW = ("now", "just now")


@dataclass(frozen=True)
class Changed:
    """What one motor had of a kind and has now; a gap is `missing`."""

    motor: Row
    was: str
    now: str


@dataclass(frozen=True)
class Swap:
    """A part goes into a motor from `at` on. other: the motor it comes out of, which gets the old one, if there is one;
    new: nobody has written this part down yet."""

    kind: str
    at: str
    into: Changed
    other: Changed | None
    new: bool
    why: str = ""

    @property
    def changes(self) -> list[Changed]:
        """Of every motor that is opened."""
        return [self.into, *([self.other] if self.other else [])]

    def entry(self, of: Changed) -> Row:
        """What the setup log says of one motor."""
        return {"what": label_of(self.kind), "was": of.was, "now": of.now}


def part_meant(source: Source, kind: str | None, part: str | None) -> Row | None:
    """A part by its id or its name."""
    if part is None:
        return None
    by_id = source.row("part", part)
    alike = (row for row in source.rows("part") if name_key(row["name"]) == name_key(part))
    return by_id or next((row for row in alike if kind in (None, row["kind"])), None)


def swap_texts(source: Source, motor_id: str | None, kind: str | None, part: str | None) -> dict[str, str]:
    """What is filled in already; the time is that of saving unless another is typed."""
    meant = part_meant(source, kind, part)
    kind = meant["kind"] if meant else kind
    motor = source.row("motor", motor_id or "") or {}
    texts = {"motor": motor.get("name", ""), "part": meant["name"] if meant else "", "why": ""}
    return texts | {"kind": label_of(kind) if kind else "", "written_at": NOW[0]}


@dataclass(frozen=True)
class Standing:
    """A part of a kind: the name of the motor it is in, empty for a spare."""

    part: str
    motor: str


class Shelf:
    """Which parts there are and where each is now; gathered once for a form, so that every key is answered at once."""

    def __init__(self, source: Source) -> None:
        self._source = source
        self.history = BuildHistory(source.rows("build"))
        self._motors = {row["id"]: row for row in source.rows("motor")}
        self._parts = {row["id"]: row for row in source.rows("part")}

    def kind_of(self, part: str) -> str:
        """The kind of the part of this name; empty where none has it, or parts of several kinds."""
        kinds = [row["kind"] for row in self._parts.values() if name_key(row["name"]) == name_key(part)]
        return kinds[0] if len(kinds) == 1 else ""

    def named(self, kind: str, part: str) -> Row | None:
        """The part of this kind and name."""
        key = (kind, name_key(part))
        return next((row for row in self._parts.values() if (row["kind"], name_key(row["name"])) == key), None)

    def motor_with(self, part_id: str, at: str | None = None) -> Row | None:
        """The motor a part is in at that time; one that lies in the bin has its parts no more."""
        return self._motors.get(self.history.holder(part_id, at) or "")

    def in_motor(self, motor: Row, kind: str, at: str | None = None) -> str:
        """Name of the motor's part of this kind at that time, `missing` for a gap."""
        build = self.history.in_force(motor["id"], at)
        if build is None:
            return own_part_name(motor["name"], kind)
        part = self._parts.get(parts_of(build)[PART_KINDS.index(kind)] or "")
        gap = part is None or kind in self.history.missing(motor["id"], at)
        return Gap.MISSING.value if gap or part is None else str(part["name"])

    def standing(self, kind: str, motor: str = "") -> list[Standing]:
        """Parts of a kind that a motor has or had: those in motors by motor, then the spares. motor: the name of one;
        parts in motors of another class are left out then."""
        held = {part_id for build in self.history.all() for part_id in parts_of(build)}
        found = []
        into = next((row for row in self._motors.values() if name_key(row["name"]) == name_key(motor)), None)
        for row in (self._parts[key] for key in held & self._parts.keys()):
            has = self.motor_with(row["id"])
            other_class = into is not None and has is not None and has.get("class_id") != into.get("class_id")
            if row["kind"] == kind and not other_class:
                found.append(Standing(row["name"], has["name"] if has else ""))
        return sorted(found, key=lambda each: (not each.motor, name_key(each.motor), name_key(each.part)))


@dataclass(frozen=True)
class SwapRead:
    """What was typed comes to: the kind, empty if that is not clear; the swap once nothing is wrong; a sentence a
    field."""

    kind: str
    swap: Swap | None
    problems: dict[str, str]


def read_swap(texts: Mapping[str, str], snapshot: Snapshot, now: datetime, shelf: Shelf | None = None) -> SwapRead:
    """What the texts of a swap mean. shelf: of this snapshot, if there is one already."""
    shelf = shelf or Shelf(snapshot)

    def read(name: str, text: str) -> Any:
        if name == "motor":
            return _motor(snapshot, text)
        if name == "kind":
            return _kind(text, texts.get("part", ""), shelf)
        if name == "part":
            return _part(text)
        return clean_note(text) if name == "why" else read_stamp(text, now, snapshot.team().day_first)

    values, wrong = read_all(texts, FIELDS, read)
    swap = None
    if not wrong:
        motor, kind = values["motor"], values["kind"]
        at = values["written_at"]
        if clean_text(texts["written_at"]).casefold() in NOW:
            at = _after_what_was_done(snapshot, at)
        swap = _swap(shelf, motor, kind, values["part"], at, values["why"])
        if swap.into.was == swap.into.now:
            wrong["part"] = _nothing_changes(swap)
    kind = values.get("kind", "")
    said = sentences(texts, wrong, lambda name: {"part": label_of(kind) if kind else "part"}.get(name, label_of(name)))
    return SwapRead(kind, None if wrong else swap, said)


def _motor(source: Source, text: str) -> Row:
    if not clean_text(text):
        raise ValueError("is empty; the motor that a part goes into would be right")
    return must_be_named(source, "motor", text, f"{key_for('add-motor')} on a list writes a new one down")


def _kind(text: str, part: str, shelf: Shelf) -> str:
    """The kind that is said, else that of the part."""
    if clean_text(text):
        return read_choice(text.replace("_", " "), tuple(map(label_of, PART_KINDS))).replace(" ", "_")
    if found := shelf.kind_of(part):
        return found
    raise ValueError("is empty; stator, rotor or end bell would be right")


def _part(text: str) -> str:
    if not clean_text(text):
        raise ValueError("is empty; the part that goes in, or missing, would be right")
    return Gap.MISSING.value if name_key(text) == Gap.MISSING.value else clean_name(text)


def _nothing_changes(swap: Swap) -> str:
    if swap.into.now == Gap.MISSING.value:
        return f"is what {swap.into.motor['name']} lacks already; a part to put in would be right"
    return f"is in {swap.into.motor['name']} already; another part would be right"


def _swap(shelf: Shelf, motor: Row, kind: str, part: str, at: str, why: str) -> Swap:
    gap = part == Gap.MISSING.value
    known = None if gap else shelf.named(kind, part)
    had = shelf.in_motor(motor, kind, at)
    other = shelf.motor_with(known["id"], at) if known else None
    name = str(known["name"]) if known else part
    if known is None and name_key(had) == name_key(part):  # its own, before anyone described the motor
        name = had
    from_other = None if other is None or other["id"] == motor["id"] else Changed(other, name, had)
    return Swap(kind, at, Changed(motor, had, name), from_other, known is None and not gap, why)


def _after_what_was_done(source: Source, at: str) -> str:
    """A swap made now comes after all that was written down in this very minute: those runs were made before it."""
    stamps = [build.get("since", "") for build in source.rows("build")]
    stamps += [made_at(run) for kind in ("bench_run", "track_run") for run in source.rows(kind)]
    last = max((time_key(stamp) for stamp in stamps if stamp[:16] == at), default=None)
    return at if last is None else stamp_of(moment(last) + timedelta(seconds=1), seconds=True)


def save_swap(logbook: Logbook, texts: Mapping[str, str], now: datetime, becomes: str | None = None) -> str:
    """Store the swap as one action: builds, runs made since, entries of the setup log. The words of what was done.

    becomes: id of the entry of the motor that the part goes into, where it was chosen already.
    """
    snapshot = logbook.snapshot()
    read = read_swap(texts, snapshot, now)
    refuse(read.problems)
    swap = read.swap
    assert swap is not None
    workshop = Workshop(snapshot)
    for change in swap.changes:
        part = Gap.MISSING if change.now == Gap.MISSING.value else change.now
        try:
            put_in(workshop, change.motor, swap.at, {swap.kind: part})
        except Refusal as refusal:
            raise Refusal(str(refusal), field="written_at") from None
    for change in swap.changes:
        must_not_share(workshop, snapshot, change.motor["id"])
    ids = (becomes or new_id(), new_id())
    entries = [_entry(swap, change, key, snapshot, now) for change, key in zip(swap.changes, ids, strict=False)]
    words = swap_said(swap)
    logbook.save(words, [*fitted_records(workshop, snapshot), *entries])
    return words


def swap_said(swap: Swap) -> str:
    """What was done, in a few words."""
    return "; ".join(f"{change.motor['name']}, {change_words(swap.entry(change))}" for change in swap.changes)


def _entry(swap: Swap, change: Changed, key: str, source: Source, now: datetime) -> "Record":
    """What the setup log says. Of a swap corrected at its own time the entry that stands there says what came of it;
    it goes to the bin where all is as it was before."""
    row: Row = {"written_at": swap.at, "motor_id": change.motor["id"], **swap.entry(change)}
    event = event_on(source, moment(swap.at))
    row |= ({"event_id": event["id"]} if event else {}) | ({"why": swap.why} if swap.why else {})
    old = next((entry for entry in source.rows("setup_entry") if _told_by(entry) == _told_by(row)), {})
    row = {"id": key, **old, **row, "was": old.get("was", row["was"])}
    if row["was"] == row["now"]:
        row |= {"binned_at": stamp_of(now, seconds=True), "binned_why": "deleted"}
    return made(model_of("setup_entry"), row)


def _told_by(entry: Row) -> tuple[str, str | None, str]:
    return (time_key(entry["written_at"]), entry.get("motor_id"), name_key(entry["what"]))
