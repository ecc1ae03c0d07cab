"""Names complete as they are typed: which names may be meant in a field of a form, and which one was begun."""

from collections.abc import Iterable, Iterator, Sequence

from pitbench.desk.builds import made_at
from pitbench.desk.event_names import event_text
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key, nearest
from pitbench.records.stamps import time_key

WRITTEN_IN = {"track": "track_run", "tyre": "track_run", "pack": "track_run", "tester": "bench_run"}
"""Names that are no records: the kind of run that says them."""


def known_names(source: Source, field: str, dated: bool = False) -> list[str]:
    """Names a field may hold, each once: events, tracks, tyres, packs the newest first, else by the alphabet.

    dated: an event by its date too, where the name alone could mean another.
    """
    if field == "event":
        events = _newest_first(source.rows("event"), "date")
        return _once(event_text(row, events) if dated else row["name"] for row in events)
    if field in ("motor", "car"):
        return sorted((row["name"] for row in source.rows(field)), key=name_key)
    if field not in WRITTEN_IN:
        return []
    runs = sorted(source.rows(WRITTEN_IN[field]), key=lambda run: time_key(made_at(run)), reverse=True)
    rows = [*_newest_first(source.rows("event"), "date"), *runs] if field == "track" else runs
    return _once(row[field] for row in rows if field in row)


def _newest_first(rows: Iterable[Row], by: str) -> list[Row]:
    return sorted(rows, key=lambda row: time_key(row[by]), reverse=True)


def _once(names: Iterable[str] | Iterator[str]) -> list[str]:
    return list({name_key(name): name for name in names}.values())


def begun(text: str, names: Sequence[str]) -> list[str]:
    """The names that begin with what was typed; none once a name is whole.

    >>> begun("l", ["Lapwing", "Linnet", "Willet"]), begun("willet", ["Willet", "Willet two"]), begun("", ["Willet"])
    (['Lapwing', 'Linnet'], [], [])
    """
    key = name_key(text)
    if not key or key in map(name_key, names):
        return []
    return [name for name in names if name_key(name).startswith(key)]


def meant(text: str, names: Sequence[str]) -> str | None:
    """The name most likely meant: one begun so, else one spelt much like it; None once it is whole.

    >>> meant("lap", ["Linnet", "Lapwing"]), meant("Lapwng", ["Lapwing"]), meant("Lapwing", ["Lapwing"])
    ('Lapwing', 'Lapwing', None)
    """
    if not name_key(text) or name_key(text) in map(name_key, names):
        return None
    return next(iter(begun(text, names)), None) or nearest(text, names)
