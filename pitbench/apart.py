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
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from threading import Lock, Timer
from typing import TYPE_CHECKING, Any, BinaryIO

from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.store.logbook import Snapshot
    from pitbench.store.view import Piece

Question = Callable[["Snapshot"], Any]
ENDS_AFTER_S = 2.0
"""Without a question. Motors asks for one ranking a class, and a save is often followed by the next."""
NO_ANSWER = "no answer"
"""What is sent back where a question failed: it is asked once more here, where the error can be written down."""
NOT_TOLD = -1


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
            try:
                found = self._answer(question, snapshot)
            except (OSError, EOFError, pickle.PickleError):
                self._end()
                found = NO_ANSWER
            if self._closed:
                raise Refusal("pitbench is being left.")
            self._go_soon()
        if isinstance(found, Refusal):
            raise found
        return question(snapshot) if found == NO_ANSWER else found

    def close(self) -> None:
        """End the second process at once, also amid a question."""
        self._closed = True
        process = self._process
        if process is not None:
            process.kill()
        with self._turn:
            self._stay()
            self._end()

    def _answer(self, question: Question, snapshot: Snapshot) -> Any:
        asked, process = pickle.dumps(question), self._running()
        assert process.stdin is not None and process.stdout is not None
        if self._told != snapshot.revision:
            for piece in snapshot.pieces():
                pickle.dump(piece, process.stdin)
            pickle.dump(snapshot.revision, process.stdin)
            self._told = snapshot.revision
        process.stdin.write(asked)
        process.stdin.flush()
        return pickle.load(process.stdout)

    def _running(self) -> subprocess.Popen[bytes]:
        if self._closed:
            raise EOFError
        if self._process is None:
            self._process = subprocess.Popen(
                [sys.executable, "-m", __name__],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                cwd=Path(__file__).parent.parent,  # where this very package is found
            )
        return self._process

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
                answers.write(pickle.dumps(_found(told, snapshot)))
                answers.flush()


def _found(question: Question, snapshot: Snapshot) -> Any:
    try:
        return question(snapshot)
    except Refusal as refusal:
        return Refusal(str(refusal), refusal.status)  # those of the store cannot be made from their sentence
    except Exception:
        return NO_ANSWER


def main() -> None:
    """What anybody prints goes nowhere: the pipe carries answers alone."""
    import gc

    gc.disable()  # a short life that makes little rubbish
    if hasattr(os, "nice"):
        os.nice(5)  # keys come first, also on one core
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    serve(sys.stdin.buffer, answers)


if __name__ == "__main__":
    main()
