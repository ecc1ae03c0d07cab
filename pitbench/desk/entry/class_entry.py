"""A class sheet written down or changed by hand, whole or its gearing alone."""

from datetime import datetime
from typing import Any

from pitbench.desk.entry.half_filled import Written
from pitbench.desk.entry.suspects import unlikely
from pitbench.desk.named import named, stored
from pitbench.records.fields import RECORDS
from pitbench.records.keys import key_for
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import clean_name
from pitbench.records.reading import Day
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import GEARING
from pitbench.records.typed import made, read_all, read_field, refuse, sentences, text_of
from pitbench.records.units import units_of
from pitbench.store.logbook import Logbook, Snapshot

TABLE = {datum.name: datum for datum in RECORDS["class_sheet"]}
FIELDS = tuple(TABLE)


def class_entry(source: Source, class_id: str | None) -> Written:
    """An empty entry, or one that edits a class sheet."""
    if class_id is None:
        return Written(dict.fromkeys(FIELDS, ""))
    row, units = stored(source, "class_sheet", class_id), units_of(source)
    texts = {name: text_of(name, row[name], units) if name in row else "" for name in FIELDS}
    return Written(texts | {"class": row["name"]}, class_id)


def class_problems(entry: Written, snapshot: Snapshot, now: datetime) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    problems = sentences(entry.texts, _read(entry, snapshot, now)[1])
    taken = named(snapshot, "class_sheet", entry.texts["class"])
    if taken is not None and taken["id"] != entry.edits:
        problems["class"] = f"There is a class {taken['name']} already; another name would be right."
    return problems


def class_doubts(entry: Written, snapshot: Snapshot, now: datetime) -> dict[str, str]:
    """Of numbers that hardly any class states a sentence each, by field; they are stored as typed."""
    return {each.column: each.sentence for each in unlikely(_read(entry, snapshot, now)[0])}


def _read(entry: Written, snapshot: Snapshot, now: datetime) -> tuple[Row, dict[str, str]]:
    """What every text means, and what is wrong, a clause a field."""
    units, day = units_of(snapshot), Day(now, snapshot.team().day_first)

    def read(name: str, text: str) -> Any:
        return clean_name(text) if name == "class" else read_field(TABLE[name], text, units, day)

    return read_all(entry.texts, FIELDS, read)


def save_class(logbook: Logbook, entry: Written, now: datetime) -> str:
    """Store the class sheet; returns the words of what was done. From then on the entry edits it."""
    snapshot = logbook.snapshot()
    refuse(class_problems(entry, snapshot, now))
    read, _ = _read(entry, snapshot, now)
    old = snapshot.row("class_sheet", entry.edits) if entry.edits else None
    row: Row = {name: value for name, value in (old or {}).items() if name not in FIELDS}
    name = read.pop("class")
    sheet = made(model_of("class_sheet"), {**row, "id": entry.edits or entry.becomes, "name": name, **read})
    words = f"{'edited ' if old else ''}class {name}"
    logbook.save(words, [sheet])
    entry.edits = sheet.id
    return words


def set_gearing_limit(logbook: Logbook, class_name: str | None, limit: str) -> str:
    """Store what stops you gearing higher in this class; returns the words of what was done."""
    row = named(logbook, "class_sheet", class_name) if class_name else None
    if row is None:
        raise Refusal(
            f"These motors have no class yet: {key_for('edit-record')} on Motors gives them one, then the gearing can "
            "be set."
        )
    words = f"{row['name']}: {GEARING[limit]}"
    logbook.save(words, [model_of("class_sheet").of({**row, "gearing_limit": limit})])
    return words
