"""Saving what was typed in a form, or leaving it: nothing goes without a word."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.dialogs.choose import Choose
from pitbench.app.dialogs.refused import offer_rescue
from pitbench.records.refusal import Refusal
from pitbench.words.drafts import there_already

if TYPE_CHECKING:
    from pitbench.app.forms.form_screen import FormScreen


def save(form: FormScreen) -> bool:
    """Save; False when something must be mended first, which is said, its field under the input."""
    about = form.drafts.about()
    if not form.drafts.touched() and not form.complete:
        form.say(f"Nothing was {'changed' if about.edits else 'typed'} here, so nothing was saved.")
        return False
    since = form.pit.book.revision
    try:
        if about.is_there(form.pit.book):
            raise Refusal(there_already(about, form.pit.book))
        words = form.store()
    except Refusal as refusal:
        wrong = {refusal.field, *form.problems}
        at = next((i for i, field in enumerate(form.fields) if field.name in wrong), form.at)
        if at != form.at:
            form.moves.to(at)
        form.say(_refused(form, str(refusal)), trouble=True)
        offer_rescue(form.pit, refusal)
        return False
    form.drafts.saved(about)
    form.pit.say.saved(words, since)
    return True


def _refused(form: FormScreen, why: str) -> str:
    """Why it was not saved; a sentence that stands under the fields, and stays there, is not said twice."""
    lines = form.below()
    below = " ".join(text for row in lines for text, _ in row)
    return "Not saved." if form.stays_below(lines) and " ".join(why.split()) in " ".join(below.split()) else why


def leave(form: FormScreen) -> None:
    """At once if nothing was typed, else only when that is wanted."""
    if not form.drafts.touched() or (form.ESC_KEEPS and not form.drafts.about().edits):
        form.dismiss(None)
        return

    def answered(choice: str | None) -> None:
        if choice:
            form.drafts.drop()
            form.dismiss(None)

    choices = (("y", "drop", form.DROP_WORDS),)
    form.pit.push_screen(Choose("This form is not saved.", choices, left="goes on typing"), answered)
