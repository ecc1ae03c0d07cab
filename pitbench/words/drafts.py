"""Half-filled forms in words: what was kept, and why one is not saved again."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from pitbench.records.keys import key_for

if TYPE_CHECKING:
    from pitbench.desk.entry.half_filled import About
    from pitbench.records.kinds import Source

NOUNS = {
    "bench_run": "bench run of",
    "track_run": "track run of",
    "cooling": "temperature reading of",
    "setup_entry": "setup entry",
    "swap": "swap of parts of",
    "gear": "list of gears",
    "weights": "form of weights and margins",
    "settings": "form of units and settings",
    "gear_plan": "gearing plan",
}
"""As a sentence names them; others are called as their kind. `of` a motor."""
GO_ON = {
    "bench_run": "add-bench-run",
    "track_run": "add-track-run",
    "cooling": "add-reading",
    "setup_entry": "add-setup-entry",
    "motor": "add-motor",
}
"""Kinds that are told of at the start, and the actions that go on with them."""


def draft_words(about: "About", draft: Mapping[str, Any]) -> str:
    """What was kept, in a sentence."""
    noun = NOUNS.get(about.kind, about.kind)
    if about.edits and not about.of_the_team:
        return f"A half-filled edit of this {noun.removesuffix(' of')} was kept."
    whose = draft["texts"].get("motor" if noun.endswith(" of") else about.kind, "").strip()
    return f"A half-filled {f'{noun} {whose}' if whose else noun.removesuffix(' of')} was kept."


def offered_words(about: "About", draft: Mapping[str, Any]) -> str:
    """At the start: what was kept, and the key that goes on with it."""
    return f"{draft_words(about, draft).removesuffix('.')}: {key_for(GO_ON[about.kind])} goes on with it."


def there_already(about: "About", source: "Source") -> str:
    """Why a draft is not saved whose record is there, in a sentence."""
    noun = NOUNS.get(about.kind, about.kind).removesuffix(" of")
    row = source.row(about.told_by or about.kind, about.becomes or "") or {}
    where = f"lies in the bin ({key_for('show-bin')})" if "binned_at" in row else "is in the logbook"
    return f"This {noun} {where} already; nothing was saved twice."
