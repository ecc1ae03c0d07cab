"""What is typed in a form outlives it: kept as it is typed, offered when the same form is opened again.

A form owns one `FormDraft`; when and how it is kept is decided here alone. A form that needs more to go on than its
texts has one of its own.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.dialogs.choose import Choose
from pitbench.desk.entry import half_filled
from pitbench.words.drafts import draft_words

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from pitbench.app.forms.form_screen import FormScreen
    from pitbench.desk.entry.half_filled import About, Draft


class FormDraft:
    """The draft of one form: the texts it began with, and what was typed since."""

    def __init__(self, form: FormScreen) -> None:
        self.form = form
        self.begun: dict[str, str] = {}
        self._above: dict[str, str] = {}
        """What is typed in a form that stands over this one, and not taken yet."""
        self._seen: dict[str, str] = {}
        self._is_kept = False

    def begin(self) -> None:
        """The form stands as it opened: nothing was typed."""
        self.begun = self._seen = dict(self.form.values)
        self._above = {}
        self._is_kept = False

    def typed(self) -> dict[str, str]:
        """Texts that are not as they began, those of a form over this one with them."""
        texts = {**self.form.values, **self._above}
        return {name: text for name, text in texts.items() if text != self.begun.get(name, "")}

    # what a form may know better

    def about(self) -> About:
        """Which record the form is about: that of its entry; none where it has no entry."""
        kind, entry = self.form.KIND, self.form.entry
        return half_filled.About(kind) if entry is None else half_filled.About.entry(kind, entry)

    def touched(self) -> bool:
        """Whether something was typed that did not stand here when the form opened."""
        return bool(self.typed())

    def to_keep(self, draft: Draft) -> Draft:
        """The draft, with what the form needs besides to go on."""
        return draft

    def may_go_on(self, draft: Draft) -> bool:
        """Whether a draft that was kept still fits what stands in the logbook."""
        return half_filled.still_stands(draft, self.form.values)

    def take_up(self, draft: Draft) -> None:
        """Go on with a draft; in a new one nothing stands but what was kept."""
        form, texts = self.form, draft["texts"]
        if not self.about().edits:
            texts = {name: texts.get(name, "") for name in (*form.values, *(field.name for field in form.fields))}
            if form.entry is not None:
                form.entry.becomes = draft.get("becomes", form.entry.becomes)
        form.values.update(texts)
        form.value_changed()
        form.at = form.moves.first_empty()
        form.body.put_input(form.at, form.value)
        form.draw()

    def begun_afresh(self) -> None:
        """The form is open, with no draft to go on with."""

    # keeping

    def keep(self) -> None:
        """Keep what stands in the form, if that is new; one kept before stays until something is typed here."""
        stands = {**self.form.values, **self._above}
        if stands != self._seen:
            self._seen = stands
            self._write(self._keep)

    def _keep(self) -> None:
        book = self.form.pit.book
        if self.touched():
            draft: Draft = {"texts": self._seen}
            if self.about().edits:
                typed = self.typed()
                draft = {"texts": typed, "was": {name: self.begun.get(name, "") for name in typed}}
            half_filled.keep(book, self.about(), self.to_keep(draft), self.form.pit.clock())
            self._is_kept = True
        elif self._is_kept:
            self.drop()

    def drop(self) -> None:
        """It was thrown away, or wiped out again."""
        self.saved(self.about())

    def saved(self, about: About) -> None:
        """What it was about stands in the logbook."""
        self.begin()
        self._write(lambda: half_filled.drop(self.form.pit.book, about))

    def _write(self, work: Callable[[], None]) -> None:
        """Drafts stand beside the logbook: where another start writes that, they are its drafts."""
        if not self.form.pit.book.read_only_why:
            self.form.pit.writing.attempt(work)

    def offer(self) -> None:
        """Ask about one that was kept; figures typed ahead must not run into it."""
        draft = half_filled.kept(self.form.pit.book, self.about())
        if draft is None or not self.may_go_on(draft):
            self.begun_afresh()
            return

        def answered(choice: str | None) -> None:
            if choice == "draft":
                self._is_kept = True
                self.take_up(draft)
            elif choice == "new":
                self.begun_afresh()
            else:
                self.form.dismiss(None)

        choices = (
            (self.form.GO_ON_KEY, "draft", "go on with it"),
            ("n", "new", "start afresh; what is typed then takes its place"),
        )
        question = draft_words(self.about(), draft)
        self.form.pit.push_screen(Choose(question, choices, "draft", "leaves it for later"), answered)

    def put_above(self, texts: Mapping[str, str]) -> None:
        """What is typed in a form over this one; nothing once that was taken or left."""
        self._above = dict(texts)
        self.keep()


class TeamsDraft(FormDraft):
    """About something there is one of, the team's."""

    def about(self) -> About:
        return half_filled.About(self.form.KIND, edits=half_filled.THE_TEAMS)


class PartOfDraft(FormDraft):
    """Of a form that stands over another and gives it what was typed: kept in the draft of that one, as typed."""

    def __init__(self, form: FormScreen, whole: FormDraft) -> None:
        super().__init__(form)
        self._whole = whole

    def keep(self) -> None:
        self._whole.put_above(self.typed())

    def drop(self) -> None:
        self.begin()
        self._whole.put_above({})

    def offer(self) -> None:
        """The one it stands over has asked."""
