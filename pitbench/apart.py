"""Questions worked out in a second process: what numpy and the draws of a ranking take leaves this one alone, and no
key waits for them.

One process a question: it is told the records, answers and ends. Question and answer cross as pickles, so a question is
a function of the desk with plain arguments, and its answer is plain. One that takes long tells on the way how far it
is, and can be stopped. Where no second process can be had, the question is worked out here instead: the answer counts
more than memory.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from contextlib import suppress
from threading import Lock
from typing import TYPE_CHECKING, Any, BinaryIO

from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from pitbench.app.answers import Progress
    from pitbench.desk import Question, Snapshot
    from pitbench.store.view import Piece

LONGEST_S = 120.0
"""For one answer; a ranking of 100,000 runs takes 5 s. After it the process is given up, unless somebody sees how far
it is and may stop it."""
_BEGIN = f"import sys; sys.path[:] = sys.argv[1:]; from {__name__} import main; main()"
"""Modules are looked for in the same places as here, in the same order."""

Reply = tuple[str, Any]
"""FOUND and the answer, REFUSED and (sentence, status), or FAILED: asked here, the error can be written down. Before
it, as often as it likes, TOLD and what part is done."""
FOUND, REFUSED, FAILED, TOLD = "found", "refused", "failed", "told"
ENDED = REFUSED, ("The process that works this out was ended from outside, is memory short? Close something.",)


class Apart:
    """The near end; called in threads, one question after the other."""

    def __init__(self) -> None:
        self._turn = Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._closed = False

    def __call__(self, question: Question, snapshot: Snapshot, progress: Progress | None = None) -> Any:
        """The answer to a question about these records; raises the Refusal it ended with. With `progress` the question
        takes whom to tell how far it is, as `told`."""
        with self._turn:
            reply, value = self._asked(question, snapshot, progress)
        if self._closed:
            raise Refusal("pitbench is being left.")
        if reply == FOUND:
            return value
        if progress is not None:
            progress.must_go_on()
        if reply == REFUSED:
            raise Refusal(*value)
        return question(snapshot, told=progress.told) if progress else question(snapshot)

    def close(self) -> None:
        """End the second process at once, also amid a question; whoever waits for its answer gets a Refusal."""
        self._closed = True
        if (process := self._process) is not None:
            process.kill()

    def _asked(self, question: Question, snapshot: Snapshot, progress: Progress | None) -> Reply:
        process = None
        try:
            process = self._process = subprocess.Popen(
                [sys.executable, "-c", _BEGIN, *sys.path],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
            )
            if progress is not None:
                progress.is_ended_by(process.kill)
            return self._answer(process, question, snapshot, progress)
        except Exception:  # whatever is wrong with that process, it is not the question's fault
            return FAILED, None
        finally:
            self._process = None
            if process is not None:
                process.kill()
                process.communicate()

    def _answer(
        self, process: subprocess.Popen[bytes], question: Question, snapshot: Snapshot, progress: Progress | None
    ) -> Reply:
        """Where it was killed, likely for want of memory, this process does not try the same: it may be next."""
        if self._closed:
            process.kill()
        assert process.stdin is not None
        with suppress(BrokenPipeError):
            pickle.dump((question, snapshot.revision, progress is not None), process.stdin)
            for piece in snapshot.pieces():
                pickle.dump(piece, process.stdin)
        if progress is not None:
            return _followed(process, progress)
        try:
            answer, _ = process.communicate(timeout=LONGEST_S)
        except subprocess.TimeoutExpired:
            return REFUSED, (f"This took too long to work out, more than {LONGEST_S:g} s, and was given up.",)
        if process.returncode < 0:
            return ENDED
        reply: Reply = pickle.loads(answer)
        return reply


def _followed(process: subprocess.Popen[bytes], progress: Progress) -> Reply:
    """The reply, and on the way to it how far it is."""
    assert process.stdin is not None and process.stdout is not None
    with suppress(BrokenPipeError):
        process.stdin.close()
    process.stdin = None  # closed: whoever tidies up must not flush it
    try:
        while True:
            reply, value = pickle.load(process.stdout)
            if reply != TOLD:
                return reply, value
            progress.told(value)
    except (EOFError, pickle.UnpicklingError):
        return ENDED if process.wait() < 0 else (FAILED, None)


def _pieces(told: BinaryIO) -> Iterator[Piece]:
    with suppress(EOFError):
        while True:
            yield pickle.load(told)


def _reply(question: Question, snapshot: Snapshot, tell: Callable[[float], None] | None) -> Reply:
    try:
        return FOUND, question(snapshot, told=tell) if tell else question(snapshot)
    except Refusal as refusal:
        return REFUSED, (str(refusal), refusal.status)
    except Exception:
        return FAILED, None


def main() -> None:
    """The far end. What anybody prints goes nowhere: the pipe carries the answer alone."""
    import gc

    from pitbench.store.logbook import Snapshot

    gc.disable()  # a short life that makes little rubbish
    if hasattr(os, "nice"):
        os.nice(5)  # keys come first, also on one core
    answer = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())

    def tell(part: float) -> None:
        pickle.dump((TOLD, part), answer)
        answer.flush()

    question, revision, tells = pickle.load(sys.stdin.buffer)
    reply = _reply(question, Snapshot.of_pieces(revision, _pieces(sys.stdin.buffer)), tell if tells else None)
    with answer:
        pickle.dump(reply, answer)
    os._exit(0)  # nothing is left to tidy up, and somebody waits
