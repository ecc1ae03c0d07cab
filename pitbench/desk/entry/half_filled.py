"""Half-filled forms: each has its draft under a name of its own, all kept in the logbook's one draft file.

Texts are as typed, in the units the screen showed then; a draft taken up after those were changed is converted.
A draft is offered until the record it becomes, or the edit it makes, stands in the logbook: no sooner is it forgotten
on a disk that lost its power right after the save.
"""

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from pitbench.records.fields import QUANTITIES
from pitbench.records.ids import new_id
from pitbench.records.numbers import Unreadable
from pitbench.records.stamps import UnreadableTime, read_stamp, shown_stamp
from pitbench.records.units import Units, units_of

if TYPE_CHECKING:
    from pitbench.store.logbook import Logbook, Snapshot

Draft = dict[str, Any]
TIMES = ("taken_at", "written_at", "fitted_since")
_ID = re.compile("[0-9a-f]{16}")
_CLOCK = re.compile(r"\d{1,2}:\d\d(:\d\d)?")
THE_TEAMS = "settings"
"""What an edit of the team's settings is about: there is one record of them."""


@dataclass
class Written:
    """A record being written down: texts by field, as typed, and the record it edits, if any."""

    texts: dict[str, str] = field(default_factory=dict)
    edits: str | None = None
    becomes: str = field(default_factory=new_id, compare=False, kw_only=True)
    """Id of the record it makes, chosen when it begins: what is saved is never saved a second time."""
    answered: dict[str, str] = field(default_factory=dict, compare=False, kw_only=True)
    """Texts by field that were said to be right, though they are unlikely."""

    def is_answered(self, name: str) -> bool:
        """Whether what stands in a field was said to be right."""
        return name in self.answered and self.answered[name] == self.texts.get(name)


@dataclass(frozen=True)
class About:
    """What a form's draft is about: a kind of record, the one it edits, or the id of the one it becomes.

    Without either id it is about something there is one of, or that is no record. `told_by`: the kind of record that
    what it makes is told by, where it is no record itself.
    """

    kind: str
    edits: str | None = None
    becomes: str | None = None
    told_by: str = ""

    @classmethod
    def entry(cls, kind: str, entry: Written) -> "About":
        """About the record an entry edits, or becomes."""
        return cls(kind, entry.edits) if entry.edits else cls(kind, None, entry.becomes)

    @property
    def name(self) -> str:
        """Under which its draft is kept: one a kind for what is new, one for every record that is edited."""
        return f"{self.kind} {self.edits}" if self.edits else self.kind

    @property
    def of_the_team(self) -> bool:
        """About something there is one of, though it is kept as an edit."""
        return self.edits == THE_TEAMS

    def is_there(self, source: "Logbook | Snapshot") -> bool:
        """Whether the new record stands in the logbook by now, or in its bin."""
        return self.becomes is not None and source.row(self.told_by or self.kind, self.becomes) is not None


def _drafts(logbook: "Logbook") -> dict[str, Any]:
    """All drafts by name: never changed in place, the logbook holds this very dict."""
    kept = logbook.draft() or {}
    return {"bench_run": kept} if isinstance(kept.get("texts"), dict) else kept  # as before there were two forms


def keep(logbook: "Logbook", about: About, draft: Draft, now: datetime) -> None:
    """Keep a form's draft: "texts" by field, in an edit "was", the texts they began as, and whatever else plain the
    form needs to go on; "units" where they are not the team's."""
    day_first = logbook.team().day_first
    texts = {name: _dated(text, now, day_first) if name in TIMES else text for name, text in draft["texts"].items()}
    said = {"units": asdict(units_of(logbook)), **draft, "texts": texts}
    if about.becomes:
        said["becomes"] = about.becomes
    logbook.save_draft({**_drafts(logbook), about.name: said})


def kept(logbook: "Logbook", about: About) -> Draft | None:
    """The draft of a form, if one can be read and is not saved already; its texts in the units shown now."""
    draft: Draft = _drafts(logbook).get(about.name) or {}
    texts = texts_of(draft)
    if texts is None:
        return None
    becomes = str(draft.get("becomes"))
    if about.becomes is None or not _ID.fullmatch(becomes):
        draft = {name: said for name, said in draft.items() if name != "becomes"}
    elif replace(about, becomes=becomes).is_there(logbook):
        return None
    before, now = _units(draft.get("units")), units_of(logbook)
    was = texts_of({"texts": draft.get("was")}) or {}
    was = {name: text for name, text in was.items() if not _differs(name, before, now)}
    return {**draft, "texts": {name: _text(name, text, before, now) for name, text in texts.items()}, "was": was}


def still_stands(draft: Draft, begun: Mapping[str, str]) -> bool:
    """Whether what an edit was about to change stands as it did then: else the edit was saved, or overtaken."""
    return all(begun.get(name, "") == text for name, text in draft["was"].items())


def texts_of(draft: object) -> dict[str, str] | None:
    """The texts of a draft; None for what is no draft."""
    texts = draft.get("texts") if isinstance(draft, dict) else None
    if not isinstance(texts, dict) or not all(isinstance(each, str) for each in (*texts, *texts.values())):
        return None
    return texts


def drop(logbook: "Logbook", about: About) -> None:
    """The form was saved or thrown away."""
    drafts = _drafts(logbook)
    others = {name: draft for name, draft in drafts.items() if name != about.name}
    if others and others != drafts:
        logbook.save_draft(others)
    elif not others:
        logbook.drop_draft()


def _dated(text: str, now: datetime, day_first: bool) -> str:
    """A time of day alone gets its day, so that it means the same tomorrow."""
    if _CLOCK.fullmatch(text.strip()):
        with suppress(UnreadableTime):
            return shown_stamp(read_stamp(text, now, day_first))
    return text


def _units(said: object) -> Units:
    """The units a draft was typed in; as by default where it does not say so, or nonsense."""
    try:
        units = Units(**said) if isinstance(said, dict) else Units()
    except TypeError:
        return Units()
    return units if units.temperature in ("C", "F") and units.length in ("mm", "in") else Units()


def _differs(name: str, before: Units, now: Units) -> bool:
    return name in QUANTITIES and before.unit(name) != now.unit(name)


def _text(name: str, text: str, before: Units, now: Units) -> str:
    if not text.strip() or not _differs(name, before, now):
        return text
    try:
        return now.typed(name, before.read(name, text))
    except Unreadable:
        return text
