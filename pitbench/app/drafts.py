"""What is typed in a form outlives it: kept as it is typed, offered when the same form is opened again.

A form owns one `FormDraft` and says what it is about; when and how it is kept is decided here alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pitbench.app.screens.form_screen import FormScreen
    from pitbench.desk.entry.half_filled import About


class FormDraft:
    """The draft of one form: the texts it began with, and what was typed since."""

    def __init__(self, form: FormScreen) -> None:
        self._form = form
        self.begun: dict[str, str] = {}
        self._above: dict[str, str] = {}
        """What is typed in a form that stands over this one, and not taken yet."""
        self._seen: dict[str, str] = {}
        self._is_kept = False

    def begin(self) -> None:
        """The form stands as it opened: nothing was typed."""
        self.begun = self._seen = dict(self._form.values)
        self._above = {}
        self._is_kept = False

    def typed(self) -> dict[str, str]:
        """Texts that are not as they began, those of a form over this one with them."""
        texts = {**self._form.values, **self._above}
        return {name: text for name, text in texts.items() if text != self.begun.get(name, "")}

    def keep(self) -> None:
        """Keep what stands in the form, if that is new; one kept before stays until something is typed here."""
        stands = {**self._form.values, **self._above}
        if stands != self._seen:
            self._seen = stands
            self._form.pit.attempt(self._keep)

    def _keep(self) -> None:
        from pitbench.desk.entry import half_filled

        form = self._form
        if form.touched():
            draft: half_filled.Draft = {"texts": self._seen}
            if form.about().edits:
                typed = self.typed()
                draft = {"texts": typed, "was": {name: self.begun.get(name, "") for name in typed}}
            half_filled.keep(form.pit.book, form.about(), form.to_keep(draft), form.pit.clock())
            self._is_kept = True
        elif self._is_kept:
            self.drop()

    def drop(self) -> None:
        """It was thrown away, or wiped out again."""
        self.saved(self._form.about())

    def saved(self, about: About) -> None:
        """What it was about stands in the logbook."""
        from pitbench.desk.entry import half_filled

        self.begin()
        self._form.pit.attempt(lambda: half_filled.drop(self._form.pit.book, about))

    def offer(self) -> bool:
        """Ask about one that was kept; figures typed ahead must not run into it."""
        from pitbench.app.dialogs.choose import Choose
        from pitbench.desk.entry import half_filled

        form, about = self._form, self._form.about()
        draft = half_filled.kept(form.pit.book, about)
        if draft is None or not form.may_go_on(draft):
            return False

        def answered(choice: str | None) -> None:
            if choice == "draft":
                self._is_kept = True
                form.take_up(draft)
            elif choice == "new":
                form.begun_afresh()
            else:
                form.dismiss(None)

        choices = (
            (form.GO_ON_KEY, "draft", "go on with it"),
            ("n", "new", "start afresh; what is typed then takes its place"),
        )
        form.pit.push_screen(
            Choose(half_filled.words(about, draft), choices, "draft", "Esc leaves it for later"), answered
        )
        return True

    def put_above(self, texts: Mapping[str, str]) -> None:
        """What is typed in a form over this one; nothing once that was taken or left."""
        self._above = dict(texts)
        self.keep()


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

    def offer(self) -> bool:
        return False
