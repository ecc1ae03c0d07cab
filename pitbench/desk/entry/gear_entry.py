"""Pinions and spurs written down, several at once; a pitch as module or as diametral pitch, kept as module."""

import re
from dataclasses import dataclass
from typing import Any

from pitbench.desk.entry.half_filled import Written
from pitbench.desk.gears import dp_of_module, module_of_dp
from pitbench.desk.named import stored
from pitbench.figures.gearing import same_pitch
from pitbench.records.fields import RECORDS, led_by
from pitbench.records.ids import new_id
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import clean_note, clean_text
from pitbench.records.numbers import Unreadable, read_number, shown
from pitbench.records.reading import read_choice
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import capital, dp_text, listed, module_text, pitch_words
from pitbench.records.typed import made, read_all, refuse, sentences
from pitbench.store.logbook import Logbook

TABLE = {datum.name: datum for datum in RECORDS["gear"]}
FIELDS = led_by(("kind", "teeth", "dp"), TABLE)
_SPAN = re.compile(r"^(\d+)(?:-|–|\.\.)(\d+)$")
MOST_AT_ONCE = 100


def new_gears(snapshot: Source) -> Written:
    """Kind and pitch as last written down."""
    last = max(reversed(snapshot.rows("gear")), key=lambda row: row.get("edited_at", ""), default=None)
    texts = dict.fromkeys(FIELDS, "") | {"kind": "pinion"}
    return Written(texts | _pitch_texts(last["module"]) | {"kind": last["kind"]} if last else texts)


def edit_gear(snapshot: Source, gear_id: str) -> Written:
    """A stored gear as texts."""
    row = stored(snapshot, "gear", gear_id)
    texts = {"kind": row["kind"], "teeth": shown(row["teeth"]), "note": row.get("note", "")}
    return Written(dict.fromkeys(FIELDS, "") | texts | _pitch_texts(row["module"]), gear_id)


def _pitch_texts(module_mm: float) -> dict[str, str]:
    """The way it was written on the gear."""
    dp = dp_of_module(module_mm)
    return {"dp": "", "module": shown(module_mm)} if dp is None else {"dp": shown(dp), "module": ""}


def gear_problems(entry: Written) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    return sentences(entry.texts, _read(entry)[1])


def _read(entry: Written) -> tuple[Row, dict[str, str]]:
    """What every text means, teeth as a list; and what is wrong, a clause a field."""
    given = [name for name in ("dp", "module") if clean_text(entry.texts.get(name, ""))]

    def read(name: str, text: str) -> Any:
        if name == "teeth":
            teeth = read_teeth(text)
            if entry.edits and len(teeth) > 1:
                raise ValueError("are several, one gear has one number of teeth")
            return teeth
        if name == "note":
            return clean_note(text) or None
        if name == "kind":
            return read_choice(text, TABLE["kind"].words)
        if name == "dp" and not given:
            raise ValueError("is empty, and module too; one of them would be right")
        if name not in given:
            return None
        number = read_number(text, TABLE[name])
        if name == "module" and len(given) > 1:
            raise ValueError("and diametral pitch are both given, one of them would be right")
        return number

    return read_all(entry.texts, FIELDS, read)


def read_teeth(text: str) -> list[int]:
    """Teeth of several gears: numbers parted by blanks or commas, or a span.

    >>> read_teeth("28, 30 33-35")
    [28, 30, 33, 34, 35]
    """
    found: list[int] = []
    for word in clean_text(text).replace(",", " ").replace(";", " ").split():
        span = _SPAN.match(word)
        low, high = (span.group(1), span.group(2)) if span else (word, word)
        first, last = (int(read_number(end, TABLE["teeth"])) for end in (low, high))
        if last < first:
            raise Unreadable(f"begins at its end, {last}-{first} would be right")
        found += [teeth for teeth in range(first, last + 1) if teeth not in found]
    if not found:
        raise Unreadable("is empty, numbers like 28 29 30 would be right")
    if len(found) > MOST_AT_ONCE:
        raise Unreadable(f"are {len(found)} gears, at most {MOST_AT_ONCE} at once would be right")
    return found


def save_gears(logbook: Logbook, entry: Written) -> str:
    """Store the gears as one action; those owned already are not doubled. Returns the words of what was done."""
    read, wrong = _read(entry)
    refuse(sentences(entry.texts, wrong))
    kind, teeth = read["kind"], read["teeth"]
    module = read["module"] if "module" in read else module_of_dp(read["dp"])
    known = _known(logbook, kind, module, entry.edits)
    new = [each for each in teeth if each not in known]
    if not new:
        said = f"{_spoken(kind, teeth)} of {pitch_words(module)} {'stand' if len(teeth) > 1 else 'stands'}"
        raise Refusal(f"{capital(said)} in your gears already.")
    old = logbook.row("gear", entry.edits) if entry.edits else None
    row = {name: value for name, value in (old or {}).items() if name not in FIELDS}
    row |= {"kind": kind, "module": module, "note": read.get("note")}
    ids = [entry.edits or entry.becomes, *(new_id() for _ in new[1:])]
    gears = [made(model_of("gear"), {**row, "id": key, "teeth": each}) for key, each in zip(ids, new, strict=True)]
    words = f"{'edited ' if entry.edits else ''}{_spoken(kind, new)}"
    logbook.save(words, gears)
    there = [each for each in teeth if each in known]
    return f"{words}; {_spoken('', there)} there already" if there else words


def _known(logbook: Logbook, kind: str, module: float, but: str | None) -> set[int]:
    own = (row for row in logbook.rows("gear") if row["kind"] == kind and row["id"] != but)
    return {int(row["teeth"]) for row in own if same_pitch(row["module"], module)}


def _spoken(kind: str, teeth: list[int]) -> str:
    """`pinions 28 and 29`."""
    numbers = listed([str(each) for each in teeth])
    return f"{kind}{'s' if len(teeth) > 1 else ''} {numbers}" if kind else numbers


@dataclass(frozen=True)
class GearLine:
    """One own gear as the list shows it."""

    id: str
    kind: str
    teeth: str
    dp: str
    module: str
    note: str


def gear_lines(snapshot: Source) -> list[GearLine]:
    """Own gears: pinions, then spurs, by pitch and teeth."""
    rows = sorted(snapshot.rows("gear"), key=lambda r: (r["kind"], r["module"], r["teeth"], r["id"]))
    return [
        GearLine(
            r["id"], r["kind"], shown(r["teeth"]), dp_text(r["module"]), module_text(r["module"]), r.get("note", "")
        )
        for r in rows
    ]
