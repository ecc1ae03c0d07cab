"""Questions worked out in a second process: what numpy and the draws of a ranking take leaves this one alone.

The process begins with the first question, is told the records once a revision, and ends soon after its last answer.
Question and answer cross as pickles, so a question is a function of the desk with plain arguments, and its answer is
plain. Where no second process can be had, the question is worked out here instead: the answer counts more than memory.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from contextlib import suppress
from threading import Lock, Timer
from typing import TYPE_CHECKING, Any, BinaryIO

from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.desk import Question, Snapshot
    from pitbench.store.view import Piece

ENDS_AFTER_S = 2.0
"""Without a question. Motors asks for one ranking a class, and a save is often followed by the next."""
LONGEST_S = 120.0
"""For one answer; a ranking of 100,000 runs takes 5 s. After it the process is given up."""
TRIES = 2
NOT_TOLD = -1
_BEGIN = f"import sys; sys.path[:] = sys.argv[1:]; from {__name__} import main; main()"
"""Modules are looked for in the same places as here, in the same order."""

Reply = tuple[str, Any]
"""FOUND and the answer, REFUSED and (sentence, status), or FAILED: asked here, the error can be written down."""
FOUND, REFUSED, FAILED = "found", "refused", "failed"


class Apart:
    """The near end, one for a logbook; called in threads, one question after the other."""

    def __init__(self) -> None:
        self._turn = Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._told = NOT_TOLD
        self._end_soon: Timer | None = None
        self._closed = False

    def __call__(self, question: Question, snapshot: Snapshot) -> Any:
        """The answer to a question about these records; raises the Refusal it ended with."""
        with self._turn:
            self._stay()
            reply, value = self._asked(question, snapshot)
            if self._closed:
                raise Refusal("pitbench is being left.")
            self._go_soon()
        if reply == REFUSED:
            raise Refusal(*value)
        return value if reply == FOUND else question(snapshot)

    def close(self) -> None:
        """End the second process at once, also amid a question; whoever waits for its answer gets a Refusal."""
        self._closed = True
        if (process := self._process) is not None:
            process.kill()
        with self._turn:
            self._stay()
            self._end()

    def _asked(self, question: Question, snapshot: Snapshot) -> Reply:
        """Where the process was killed, likely for want of memory, this one does not try the same: it may be next."""
        for _ in range(TRIES):
            try:
                return self._answer(question, snapshot)
            except (EOFError, BrokenPipeError):
                killed = self._was_killed()
                self._end()
                if self._closed or not killed:
                    return FAILED, None
            except Exception:  # whatever is wrong with that process, it is not the question's fault
                self._end()
                return FAILED, None
        return REFUSED, ("The process that works this out was ended from outside, is memory short? Close something.",)

    def _answer(self, question: Question, snapshot: Snapshot) -> Reply:
        asked, process = pickle.dumps(question), self._running()
        assert process.stdin is not None and process.stdout is not None
        given_up = Timer(LONGEST_S, process.kill)
        given_up.daemon = True
        given_up.start()
        try:
            if self._told != snapshot.revision:
                for piece in snapshot.pieces():
                    pickle.dump(piece, process.stdin)
                pickle.dump(snapshot.revision, process.stdin)
                self._told = snapshot.revision
            process.stdin.write(asked)
            process.stdin.flush()
            reply: Reply = pickle.load(process.stdout)
        finally:
            given_up.cancel()
        return reply

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is None:
            self._process = subprocess.Popen(
                [sys.executable, "-c", _BEGIN, *sys.path],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
            )
        if self._closed:
            self._process.kill()
        return self._process

    def _was_killed(self) -> bool:
        """Whether a signal ended it, not an error of its own."""
        if self._process is None:
            return False
        with suppress(subprocess.TimeoutExpired):
            return self._process.wait(1.0) < 0
        return False

    def _stay(self) -> None:
        if self._end_soon is not None:
            self._end_soon.cancel()

    def _go_soon(self) -> None:
        self._end_soon = Timer(ENDS_AFTER_S, self._go)
        self._end_soon.daemon = True
        self._end_soon.start()

    def _go(self) -> None:
        if self._turn.acquire(blocking=False):  # else a question came in the last moment
            self._end()
            self._turn.release()

    def _end(self) -> None:
        process, self._process, self._told = self._process, None, NOT_TOLD
        if process is not None:
            process.kill()
            process.communicate()


def serve(questions: BinaryIO, answers: BinaryIO) -> None:
    """The far end: be told records, in pieces that their revision ends, and answer questions, until nobody asks."""
    from pitbench.store.logbook import Snapshot

    pieces: list[Piece] = []
    snapshot: Snapshot | None = None
    with suppress(EOFError):
        while True:
            told = pickle.load(questions)
            if isinstance(told, tuple):
                pieces.append(told)
            elif isinstance(told, int):
                snapshot, pieces = Snapshot.of_pieces(told, pieces), []
            elif snapshot is not None:
                answers.write(pickle.dumps(_reply(told, snapshot)))
                answers.flush()


def _reply(question: Question, snapshot: Snapshot) -> Reply:
    try:
        return FOUND, question(snapshot)
    except Refusal as refusal:
        return REFUSED, (str(refusal), refusal.status)
    except Exception:
        return FAILED, None


def main() -> None:
    """What anybody prints goes nowhere: the pipe carries answers alone."""
    import gc

    gc.disable()  # a short life that makes little rubbish
    if hasattr(os, "nice"):
        os.nice(5)  # keys come first, also on one core
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    serve(sys.stdin.buffer, answers)
