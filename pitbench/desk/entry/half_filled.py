"""Half-filled forms: one draft a form, all kept in the logbook's one draft file.

Texts are as typed, in the units the screen showed then; a draft taken up after those were changed is converted.
"""

from collections.abc import Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from pitbench.records.fields import QUANTITIES
from pitbench.records.numbers import Unreadable
from pitbench.records.units import Units, units_of

if TYPE_CHECKING:
    from pitbench.store.logbook import Logbook

Draft = dict[str, Any]
BENCH, TRACK = "bench_run", "track_run"


def _drafts(logbook: "Logbook") -> dict[str, Any]:
    kept = logbook.draft() or {}
    return {BENCH: kept} if isinstance(kept.get("texts"), dict) else kept  # as it was before there were two forms


def keep(logbook: "Logbook", form: str, draft: Mapping[str, Any]) -> None:
    """Keep a form's draft: "texts" by field, and whatever else plain the form needs to go on."""
    units = asdict(units_of(logbook))
    logbook.save_draft({**_drafts(logbook), form: {**draft, "units": units}})


def kept(logbook: "Logbook", form: str) -> Draft | None:
    """The draft of a form if there is one that can be read, its texts in the units shown now."""
    draft: Draft = _drafts(logbook).get(form) or {}
    texts = texts_of(draft)
    if texts is None:
        return None
    return {**draft, "texts": _converted(texts, _units(draft.get("units")), units_of(logbook))}


def texts_of(draft: object) -> dict[str, str] | None:
    """The texts of a draft; None for what is no draft."""
    texts = draft.get("texts") if isinstance(draft, dict) else None
    if not isinstance(texts, dict) or not all(isinstance(each, str) for each in (*texts, *texts.values())):
        return None
    return texts


def drop(logbook: "Logbook", form: str) -> None:
    """The form was saved or thrown away."""
    others = {name: draft for name, draft in _drafts(logbook).items() if name != form}
    if others:
        logbook.save_draft(others)
    else:
        logbook.drop_draft()


def _units(said: object) -> Units:
    try:
        return Units(**said) if isinstance(said, dict) else Units()
    except TypeError:
        return Units()


def _converted(texts: Mapping[str, str], before: Units, now: Units) -> dict[str, str]:
    return {name: _text(name, text, before, now) for name, text in texts.items()}


def _text(name: str, text: str, before: Units, now: Units) -> str:
    if name not in QUANTITIES or not text.strip() or before.unit(name) == now.unit(name):
        return text
    try:
        return now.typed(name, before.read(name, text))
    except Unreadable:
        return text
