"""A load log into the logbook: whose it is, in which run it was written, stored once, its headers remembered.

`found` reads and computes on any source, so that it may be asked apart; `keep` stores what it found.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from pitbench.desk.answers import LoadLogAnswer
from pitbench.desk.load.kept import answer_of, figures_of, trace_of
from pitbench.desk.load.samples import doubts_of, no_load_current_of, samples_of
from pitbench.desk.named import must_be_named, name_of
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import LONGEST_NAME, clean_text
from pitbench.records.reading import Day
from pitbench.records.refusal import Refusal
from pitbench.records.rounds import round_text
from pitbench.records.spoken import listed
from pitbench.records.stamps import read_stamp, shown_stamp, stamp_of, time_key
from pitbench.records.typed import sentence

if TYPE_CHECKING:
    from pitbench.sheets.load_log import LogHead, LogRead
    from pitbench.store.logbook import Logbook

KIND = "load_log"
NO_MOTOR_YET = "add it first: pitbench load motors.csv, or the app"


@dataclass(frozen=True)
class Asked:
    """Whose log it is, when its track run started (None: not said), whether it was no outing, and which header is
    which column, as far as somebody says so.

    run_id: the run, where it was pointed at; at: when it was written, unless it says so itself; alone: no other header
    is a column."""

    motor: str
    run: str | None = None
    bench: bool = False
    columns: Mapping[str, str] = field(default_factory=dict)
    run_id: str | None = None
    at: str | None = None
    alone: bool = False


@dataclass(frozen=True)
class Found:
    """A log's row as it is to be stored; `new` is false where it stands already just so."""

    row: Row
    new: bool


def found(source: Source, path: Path, asked: Asked, day: Day, told: Callable[[float], None] | None = None) -> Found:
    """Read a log and work it out. `told` is told from time to time what part of the file is read. Raises Refusal."""
    from pitbench.sheets import load_log

    motor = _motor(source, asked.motor)
    run = source.row("track_run", asked.run_id) if asked.run_id else None
    if asked.run is not None:
        run = _run(source, motor, asked.run, day)
    head = load_log.look(path)
    columns = load_log.mapped(head, asked.columns, remembered(source, head.headers), asked.alone)
    digest = load_log.digest(path)
    known = _known(source, digest, motor, path)
    link = {"track_run_id": run["id"]} if run else {"bench": True} if asked.bench else _link_of(known)
    if known and "binned_at" not in known and known.get("columns") == columns and _link_of(known) == link:
        return Found(known, new=False)
    read = load_log.read(path, head, columns, told)
    if not len(read.samples["time"]):
        needed = f"time, voltage and current, {load_log.WANTED} would be right"
        raise Refusal(f"{path}: none of its {read.rows} rows can be read as a sample of {needed}.")
    return Found(_row(source, known, motor, link, read, head, digest, asked.at, day), new=True)


def keep(logbook: "Logbook", what: Found) -> LoadLogAnswer:
    """Store what was found, as one action; nothing where it stands already."""
    if what.new:
        record = model_of(KIND).of(what.row)
        logbook.save(f"load log of {name_of(logbook, 'motor', what.row['motor_id'])}", [record])
    return answer_of(logbook, what.row, what.new)


def remembered(source: Source, headers: tuple[str, ...]) -> dict[str, str]:
    """Which header was which column in the newest log with these headers."""
    folded = [header.casefold() for header in headers]
    logs = [row for row in source.rows(KIND) if [header.casefold() for header in row.get("headers", ())] == folded]
    newest = max(logs, key=lambda row: (time_key(row.get("edited_at", "")), row["id"]), default=None)
    if newest is None:
        return {}
    places = {header: at for at, header in enumerate(newest["headers"])}
    return {column: headers[places[header]] for column, header in newest.get("columns", {}).items() if header in places}


def _motor(source: Source, name: str) -> Row:
    try:
        return must_be_named(source, "motor", name, NO_MOTOR_YET)
    except ValueError as why:
        raise Refusal(sentence("motor", name, str(why))) from None


def _run(source: Source, motor: Row, text: str, day: Day) -> Row:
    """The one track run of the motor that started then; a day alone will do where it had one run that day."""
    try:
        stamp = read_stamp(text, day.now, day.day_first)
    except ValueError as why:
        raise Refusal(sentence("run", text, str(why))) from None
    runs = sorted(
        (run for run in source.rows("track_run") if run["motor_id"] == motor["id"]),
        key=lambda run: (time_key(run["started_at"]), run.get("place", 0)),
    )
    meant = [run for run in runs if time_key(run["started_at"]) == time_key(stamp)]
    if not meant and "T" not in stamp:
        meant = [run for run in runs if run["started_at"][:10] == stamp]
    if len(meant) == 1:
        return meant[0]
    named = listed([_spoken(run) for run in (meant or runs[-3:])])
    if meant:
        raise Refusal(
            f"{motor['name']} has {len(meant)} track runs of {shown_stamp(stamp)}: {named}; one would be right."
        )
    right = f"its last: {named}" if runs else "it has none yet, leave --run out"
    raise Refusal(f"{motor['name']} has no track run that started {shown_stamp(stamp)}; {right}.")


def _spoken(run: Row) -> str:
    return " ".join(filter(None, (shown_stamp(run["started_at"]), round_text(run))))


def _known(source: Source, digest: str, motor: Row, path: Path) -> Row | None:
    """The record of the same file; in the bin too, from which it comes back."""
    live = [row for row in source.rows(KIND) if row["digest"] == digest]
    other = next((row for row in live if row["motor_id"] != motor["id"]), None)
    if other is not None:
        name = name_of(source, "motor", other["motor_id"])
        raise Refusal(
            f"{path} is stored as a log of {name} already; if it is one of {motor['name']}, undo that load in the app."
        )
    binned = [row for row in source.rows(KIND, binned=True) if row["digest"] == digest]
    return next((row for row in (*live, *binned) if row["motor_id"] == motor["id"]), None)


def _link_of(known: Row | None) -> Row:
    """What a stored log is tied to."""
    return {name: known[name] for name in ("track_run_id", "bench") if name in known} if known else {}


def _row(
    source: Source,
    known: Row | None,
    motor: Row,
    link: Row,
    read: "LogRead",
    head: "LogHead",
    digest: str,
    at: str | None,
    day: Day,
) -> Row:
    from pitbench.figures.load_log import analyse
    from pitbench.records.ids import new_id

    samples, pack_current = samples_of(read, motor), read.samples.get("current_a")
    began = read.began
    read.samples.clear()  # of a long log each of them is large
    fit = pack = analyse(samples, no_load_current_of(source, motor))
    if samples.current_is_of_motor and pack_current is not None:
        pack = analyse(replace(samples, current_a=pack_current, current_is_of_motor=False))
    run = source.row("track_run", link.get("track_run_id", ""))
    ahead = began is not None and began > day.now + timedelta(hours=24)
    own = None if began is None or ahead else stamp_of(began, seconds=True)
    said: Row = {name: known[name] for name in ("excluded_why", "kept", "extra") if name in known} if known else {}
    row = {
        **said,
        "id": known["id"] if known else new_id(),
        "motor_id": motor["id"],
        **link,
        "logged_at": own or (run["started_at"] if run else at or stamp_of(day.now, seconds=True)),
        "file": clean_text(head.name)[:LONGEST_NAME] or "log",
        "digest": digest,
        "headers": list(head.headers),
        "columns": read.columns,
        "figures": figures_of(read, fit, pack),
        "basis": fit.basis,
        "why": fit.why,
        "doubts": doubts_of(source, motor, read, fit),
        "trace": trace_of(samples, fit),
    }
    return {name: value for name, value in row.items() if value is not None and value != []}
