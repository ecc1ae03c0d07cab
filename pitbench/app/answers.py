"""Questions about the logbook, worked out in a thread, and their answers kept: no screen waits, nothing is asked twice.

Whatever may take longer than a frame in a logbook of 10,000 runs is asked here. One question is worked out at a time,
beside it one in another process, so that the keys get their turn; one that a newer revision overtook is not begun, or
its answer is dropped.
"""

from __future__ import annotations

from asyncio import Lock, to_thread
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, Protocol

from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp
    from pitbench.desk import Question, Ranked, Snapshot

Key = tuple[Hashable, ...]
"""What is asked, in words, then of what: ("ranking", "club 13.5T")."""
KEPT = 60
STOPPED = "Stopped, nothing was stored."


@dataclass(frozen=True)
class Answer:
    """What came of a question; `revision` is that of the records it was asked of."""

    value: Any
    revision: int


@dataclass(eq=False)
class _Asked:
    """A question on its way: of which revision, and built on which other answer."""

    revision: int
    rests_on: object
    apart: bool
    answer: Answer | None = None
    failed: bool = False


class Progress:
    """How far a question is that takes long, and whether it is to be stopped. Told by the thread that works it out,
    looked at by the screen that shows it."""

    def __init__(self) -> None:
        self.part, self.stopped = 0.0, False
        self._end: Callable[[], None] = lambda: None

    def told(self, part: float) -> None:
        """So large a part of it is done; raises Refusal once it is to be stopped."""
        self.part = part
        self.must_go_on()

    def must_go_on(self) -> None:
        """Raises Refusal once it is to be stopped."""
        if self.stopped:
            raise Refusal(STOPPED)

    def is_ended_by(self, end: Callable[[], None]) -> None:
        """What ends the work on it at once."""
        self._end = end
        if self.stopped:
            end()

    def stop(self) -> None:
        """Nobody waits for it any more."""
        self.stopped = True
        self._end()


class Work(Protocol):
    """Works questions out that take much memory; called in threads."""

    def __call__(self, question: Question, snapshot: Snapshot, progress: Progress | None = None) -> Any:
        """The answer, or the Refusal it ended with. With `progress` the question takes whom to tell how far it is, as
        `told`."""

    def close(self) -> None:
        """Whoever waits for an answer is let go."""


class WorkHere:
    """In this very process."""

    def __call__(self, question: Question, snapshot: Snapshot, progress: Progress | None = None) -> Any:
        return question(snapshot, told=progress.told) if progress else question(snapshot)

    def close(self) -> None:
        """Nothing is held."""


class Answers:
    """Screens ask here again and again; each question is worked out once a revision, and they are told when it is."""

    def __init__(self, app: PitbenchApp) -> None:
        self._app = app
        self._asked: dict[Key, _Asked] = {}
        self._last: dict[Key, Answer] = {}
        self._turns = {apart: Lock() for apart in (False, True)}
        self._first_class: tuple[int, str] = (-1, "")

    def ask(self, key: Key, question: Question, rests_on: object = None, *, apart: bool = False) -> Answer | None:
        """The answer for the records as they stand, if it is known; else it is on its way, unless it failed.

        rests_on: another answer the question was built on; with another one it is asked anew. apart: it takes much
        memory and its answer is plain, so it may be worked out in another process.
        """
        snapshot = self._app.snapshot
        asked = self._asked.get(key)
        if asked is None or asked.revision != snapshot.revision or asked.rests_on != rests_on:
            self._asked.pop(key, None)
            asked = self._asked[key] = _Asked(snapshot.revision, rests_on, apart)
            self._forget()
            self._app.call_after_refresh(self._begin, key, asked, question, snapshot)  # first the frame
        return asked.answer

    def last(self, key: Key) -> Answer | None:
        """The newest answer there is, maybe of records as they were before: shown until a newer one comes."""
        return self._last.get(key)

    def failed(self, key: Key) -> bool:
        """Whether it could not be worked out for the records as they stand; why, was said."""
        asked = self._asked.get(key)
        return asked is not None and asked.failed

    def _forget(self) -> None:
        """Pages of many motors were opened: those asked longest ago go."""
        for key in list(self._asked)[:-KEPT]:
            self.drop(key)

    def drop(self, key: Key) -> None:
        """Nobody asks this any more."""
        self._asked.pop(key, None)
        self._last.pop(key, None)

    def _begin(self, key: Key, asked: _Asked, question: Question, snapshot: Snapshot) -> None:
        self._app.run_worker(self._work(key, asked, question, snapshot), group="answers", description=str(key[0]))

    async def _work(self, key: Key, asked: _Asked, question: Question, snapshot: Snapshot) -> None:
        value, why = None, ""
        async with self._turns[asked.apart]:
            if not self._wanted(key, asked):
                return
            try:
                value = await self.work(question, snapshot, asked.apart)
            except Refusal as refusal:
                why = str(refusal)
            except Exception as error:  # an answer that fails must not end an evening of typing
                why = f"No {key[0]}: {self._app.written_down(error)}"
        self._come(key, asked, value, why)

    async def work(self, question: Question, snapshot: Snapshot, apart: bool, progress: Progress | None = None) -> Any:
        """Work a question out in a thread, which for one asked apart waits for the other process."""
        work = (self._app.work_apart, question, snapshot, progress) if apart else (question, snapshot)
        return await to_thread(*work)

    def _wanted(self, key: Key, asked: _Asked) -> bool:
        return self._app.is_running and self._asked.get(key) is asked and self._app.book.revision == asked.revision

    def _come(self, key: Key, asked: _Asked, value: Any, why: str) -> None:
        if not self._wanted(key, asked):
            return
        if why:
            asked.failed = True
            self._app.say(why, trouble=True)
        else:
            asked.answer = self._last[key] = Answer(value, asked.revision)
        self._app.tell_screens("answer_ready", key)

    # the question most screens ask

    def ranking(self, class_: str | None) -> Ranked | None:
        """The newest ranking known of a class, a newer being asked for; None: of the class of the newest bench run."""
        from pitbench.desk.comparing.ranked import ranked

        key = self.ranking_key(class_)
        known = self.ask(key, partial(ranked, class_name=str(key[1])), apart=True) or self.last(key)
        return known.value if known else None

    def ranking_key(self, class_: str | None) -> Key:
        """A class is one question, asked for by its name or as that of the newest bench run."""
        if class_ is None:
            from pitbench.desk.classes import first_class

            snapshot = self._app.snapshot
            if self._first_class[0] != snapshot.revision:
                self._first_class = (snapshot.revision, first_class(snapshot))
            class_ = self._first_class[1]
        return ("ranking", class_)

    def warmth_slope(self, motor_id: str) -> float | None:
        """How KV rises with warmth, as the last ranking of this motor's class learned it; None before there is one."""
        from pitbench.desk.classes import NO_CLASS
        from pitbench.desk.lists.motors import class_of

        known = self.last(("ranking", class_of(self._app.snapshot, motor_id) or NO_CLASS))
        return known.value.warmth_slope if known else None
