"""What a list screen asks the desk: when it asks again, which answers it waits for, what its lines rest on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import events

from pitbench.app.actions import BY_ID, LEAD_ON, keys_of
from pitbench.records.keys import key_name

if TYPE_CHECKING:
    from pitbench.app.answers import Answer, Key
    from pitbench.app.lists.list_screen import ListScreen
    from pitbench.desk import Question, Ranked

NEVER = (-1, 0)


class Asking:
    """Of one screen."""

    def __init__(self, screen: ListScreen) -> None:
        self._screen = screen
        self._asked_at = NEVER
        """At which revision, for which width."""
        self._waits_for: set[Key] = set()
        self.nothing_shown = False
        self.resumed_at = 0.0

    def again(self) -> None:
        """Ask, whether or not something is new."""
        self.later()
        self.if_newer()

    def later(self) -> None:
        """Ask when it is shown the next time."""
        self._asked_at = NEVER

    def if_newer(self) -> None:
        """Ask again if the records are newer than the answer shown. A hidden screen waits until it is shown; only the
        one right under that on top counts as current too, and stands ready when it is uncovered."""
        screen = self._screen
        if screen.pit.logbook is None or not screen.is_current or not screen.is_mounted:
            return
        now = (screen.pit.snapshot.revision, screen.size.width)
        if now != self._asked_at:
            self._asked_at = now
            self._waits_for.clear()
            screen.ask()
            screen.pane.say_age()  # some answers are asked for after the words were shown

    def come(self, key: Key) -> None:
        """An answer has come, or will not; who waits for it asks again. A hidden screen does when it is shown."""
        if key in self._waits_for:
            self._waits_for.discard(key)
            self.if_newer()

    def answer_to(self, key: Key, question: Question, rests_on: object = None, *, apart: bool = False) -> Answer | None:
        """The answer; the last one, or None, while a newer is worked out: this screen asks again when that has come."""
        answers = self._screen.pit.answers
        answer = answers.ask(key, question, rests_on, apart=apart)
        if answer is None:
            self._wait_for(key)
        return answer or answers.last(key)

    def ranking(self, class_: str | None) -> Ranked | None:
        """The ranking of a class, as `answer_to`; None asks for that of the newest bench run."""
        pit = self._screen.pit
        ranked = pit.answers.ranking(class_)
        if ranked is None or ranked.revision != pit.snapshot.revision:
            self._wait_for(pit.answers.ranking_key(class_))
        return ranked

    def _wait_for(self, key: Key) -> None:
        self._waits_for.add(key)
        self._asked_at = NEVER

    def holds(self, event: events.Key | events.Paste) -> bool:
        """Whether a key means lines that are still being worked out: there are none yet, or it was pressed before this
        screen stood. Who sees lines means them, though newer ones are on their way; nor do keys wait that lead on."""
        pit = self._screen.pit
        if not (self.nothing_shown or event.time < self.resumed_at):
            return False
        lead_on = {key for each in LEAD_ON for key in keys_of(BY_ID[each], pit.hands.keymap)}
        leads_on = isinstance(event, events.Key) and key_name(event.key) in lead_on
        return not leads_on and any(not pit.answers.failed(key) for key in self._waits_for)

    def told_age(self) -> str:
        """What is said of something shown that is of records as they were before."""
        answers = self._screen.pit.answers
        old = [key for key in self._waits_for if answers.last(key) is not None]
        if not old:
            return ""
        return "NOT WORKED OUT ANEW" if any(map(answers.failed, old)) else "WORKING OUT ANEW …"
