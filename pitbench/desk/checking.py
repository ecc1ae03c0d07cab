"""Is the logbook whole, which backups are there, bring one back: what `check` and `restore` ask.

The store looks at the file; what only the desk knows is added here: which record belongs to which.
"""

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

from pitbench.desk.answers import CheckAnswer
from pitbench.records.fields import PART_KINDS, RECORDS, TIME
from pitbench.records.keys import key_for
from pitbench.records.kinds import KINDS, Row
from pitbench.records.names import name_key
from pitbench.records.stamps import stamp_of
from pitbench.store.logbook import Backup, Logbook, Snapshot, examine
from pitbench.store.logbook import has_good_backup as has_good_backup
from pitbench.store.logbook import list_backups as list_backups
from pitbench.store.logbook import rescue as write_beside
from pitbench.store.logbook import restore as bring_back

_NAMES_A = {"class_id": "class_sheet"} | {f"{kind}_id": "part" for kind in PART_KINDS}
_LINKS = [(kind, datum.field) for kind, data in RECORDS.items() for datum in data if datum.field.endswith("_id")]
_LINKS += [("bench_run", "build_id"), ("track_run", "build_id")]
BELONGS = {(kind, field): _NAMES_A.get(field, field.removesuffix("_id")) for kind, field in _LINKS}
"""(kind, field): the kind of record the field names by id."""
SEEN_WITH = {
    ("bench_run", "motor"), ("track_run", "motor"), ("cooling", "track_run"),
    ("load_log", "motor"), ("load_log", "track_run"),
}  # fmt: skip
"""(kind, target): while the target lies in the bin, nothing shows the record that belongs to it."""
TIMES = {datum.field for data in RECORDS.values() for datum in data if datum.form == TIME and datum.field}
"""Fields that say when; of those a record has one."""
NAMED = ("class_sheet", "motor", "part", "event", "car")


def check(path: Path, accept: bool = False, now: datetime | None = None) -> CheckAnswer:
    """Look through the whole logbook; with `accept` a valid hand edit is sealed first. With `now`, times that lie ahead
    are problems too. Raises a Refusal when there is no file to look at, or when a hand edit cannot be written."""
    found = examine(path)
    if accept and found.hand_edit:
        with Logbook.open(path, accept_hand_edit=True) as logbook:
            logbook.journal.seal_again()
        found = examine(path)
    problems = [*found.problems, *(loose_ends(found.snapshot, now) if found.snapshot else [])]
    return CheckAnswer(
        ok=not problems,
        schema=found.schema,
        seal=found.seal,
        records={kind: found.counts[kind] if found.counts else None for kind in KINDS},
        problems=problems,
        backups=[backup.path.name for backup in found.backups],
    )


def flaw(snapshot: Snapshot) -> str | None:
    """What is wrong with the first record that is none, or None; takes the models and long, so it is asked apart."""
    return snapshot.flaw()


def loose_ends(snapshot: Snapshot, now: datetime | None = None) -> Iterator[str]:
    """References that lead nowhere, or to the wrong record, names given twice, and times that `load` would refuse as
    lying ahead, each with what to do; the bin is looked through too."""
    latest = stamp_of(now + timedelta(hours=24), seconds=True) if now else ""
    for kind in KINDS:
        for binned in (False, True):
            for row in snapshot.rows(kind, binned=binned):
                yield from _of_one(snapshot, kind, row)
                if latest and (ahead := next((name for name in TIMES if row.get(name, "") > latest), None)):
                    said = f"{ahead} lies ahead of this computer's clock"
                    yield f"{kind} {row['id']}: {said}; set the clock right, or edit it."
    for kind in NAMED:
        yield from _called_alike(kind, snapshot.rows(kind))


def _called_alike(kind: str, rows: list[Row]) -> Iterator[str]:
    """Of one name there is one; a load or a form would not know which is meant."""
    found: dict[tuple[str, ...], str] = {}
    for row in rows:
        called = (name_key(row["name"]), row.get("kind", ""), row.get("date", "")[:10])
        if called in found:
            yield f"{kind} {row['id']}: {found[called]} is called {row['name']} too; give one of them another name."
        found.setdefault(called, row["id"])


def _of_one(snapshot: Snapshot, kind: str, row: Row) -> Iterator[str]:
    what = f"{kind} {row['id']}"
    for (holder, field), target in BELONGS.items():
        other = snapshot.row(target, row[field]) if holder == kind and field in row else None
        if other is None:
            if holder == kind and field in row:
                named = f"names {'an' if target == 'event' else 'a'} {target} that is not in the logbook"
                yield f"{what}: {field} {named}; edit it, or restore a backup."
        elif target == "part" and f"{other['kind']}_id" != field:
            yield f"{what}: {field} names the {other['kind']} {other['name']}; edit it to name a {field[:-3]}."
        elif (kind, target) in SEEN_WITH and "binned_at" in other and "binned_at" not in row:
            lies = f"its {target.replace('_', ' ')} is in the bin"
            yield f"{what}: {lies}; in the app, {key_for('show-bin')} on Runs shows it, bring it back."
        elif field == "build_id" and other.get("motor_id") != row.get("motor_id"):
            yield f"{what}: its build is one of another motor; edit it, or restore a backup."


def restore(path: Path, which: str) -> tuple[Backup, Snapshot]:
    """Bring a backup back: which it was, and what the logbook holds again; raises a Refusal."""
    backup = bring_back(path, which)
    return backup, Logbook.open(path, write=False, accept_hand_edit=True).snapshot()


def rescue(logbook: Logbook, now: datetime) -> Path:
    """Write what an open logbook holds beside its damaged file, and say where; raises a Refusal."""
    assert logbook.path is not None
    return write_beside(logbook.snapshot(), logbook.path, now)
