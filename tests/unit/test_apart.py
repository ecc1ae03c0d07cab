"""The second process answers as this one does and ends, and whatever becomes of it there is an answer or a sentence."""

import os
import signal
import subprocess
import sys
import time
from functools import partial
from operator import attrgetter, methodcaller
from pathlib import Path
from threading import Thread

import pytest

import pitbench.apart
from pitbench.apart import Apart
from pitbench.app.answers import Progress
from pitbench.desk.comparing.ranked import ranked, without_run
from pitbench.records.kinds import KINDS
from pitbench.records.models import Motor
from pitbench.records.refusal import Refusal
from pitbench.store.view import IN_A_PIECE
from tests.unit.desk.bench_side import two_motors

MOTORS = methodcaller("rows", "motor")


@pytest.fixture
def apart():
    made = Apart()
    yield made
    made.close()


def _killed(snapshot, near):
    assert os.getpid() != near, "never here"
    os.kill(os.getpid(), signal.SIGKILL)


def _fails(snapshot, near):
    """An answer that cannot be read, or none at all, where it is worked out apart."""
    return "here" if os.getpid() == near else lambda: "no pickle takes this"


def _process(snapshot):
    return os.getpid()


def _without_end(snapshot):
    time.sleep(600)


def until(true, seconds=60.0):
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_it_answers_as_this_process_does_and_ends(apart):
    snapshot = two_motors().logbook.snapshot()
    question = partial(ranked, class_name="club 13.5T")
    assert apart(question, snapshot).answer == question(snapshot).answer
    first, second = apart(_process, snapshot), apart(_process, snapshot)
    assert len({os.getpid(), first, second}) == 3, "one process a question"
    assert not _runs(first) and not _runs(second)
    assert apart(attrgetter("revision"), snapshot) == snapshot.revision


def test_it_has_every_record_as_it_stands_here(apart):
    bench = two_motors()
    bench.logbook.save("more than a piece", [Motor(name=f"motor {nth}") for nth in range(3 * IN_A_PIECE)])
    gone = [("motor", bench.logbook.rows("motor")[-1]["id"])]
    bench.logbook.journal.bin("one gone", gone)
    snapshot = bench.logbook.snapshot()
    for kind in KINDS:
        for binned in (False, True):
            assert apart(methodcaller("rows", kind, binned=binned), snapshot) == snapshot.rows(kind, binned=binned)


def test_a_refusal_comes_back_with_its_sentence_and_status(apart):
    snapshot = two_motors().logbook.snapshot()
    question = partial(ranked, class_name="nobody's")
    with pytest.raises(Refusal) as here:
        question(snapshot)
    with pytest.raises(Refusal) as there:
        apart(question, snapshot)
    assert (str(there.value), there.value.status) == (str(here.value), here.value.status)


def test_what_fails_there_is_asked_here_where_it_can_be_written_down(apart):
    with pytest.raises(KeyError, match="no kind"):
        apart(methodcaller("rows", "nothing"), two_motors().logbook.snapshot())


def test_without_a_second_process_it_is_worked_out_here(apart, monkeypatch):
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    assert apart(MOTORS, two_motors().logbook.snapshot())
    assert apart._process is None


def test_what_a_process_was_killed_over_is_not_tried_here(apart):
    """A process killed for want of memory says that this one could be next."""
    snapshot = two_motors().logbook.snapshot()
    with pytest.raises(Refusal, match="is memory short"):
        apart(partial(_killed, near=os.getpid()), snapshot)
    assert len(apart(MOTORS, snapshot)) == 2, "the next question has a process again"


def test_an_answer_that_cannot_cross_is_worked_out_here(apart):
    assert apart(partial(_fails, near=os.getpid()), two_motors().logbook.snapshot()) == "here"


def test_what_takes_too_long_is_given_up_and_said_to_have_taken_too_long(apart, monkeypatch):
    monkeypatch.setattr(pitbench.apart, "LONGEST_S", 0.01)
    with pytest.raises(Refusal) as refused:
        apart(_without_end, two_motors().logbook.snapshot())
    assert str(refused.value) == "This took too long to work out, more than 0.01 s, and was given up."


def test_leaving_amid_a_question_waits_for_no_answer(apart):
    found = []

    def ask():
        try:
            found.append(apart(_without_end, two_motors().logbook.snapshot()))
        except Refusal as refusal:
            found.append(str(refusal))

    asking = Thread(target=ask)
    asking.start()
    until(lambda: apart._process is not None)
    process = apart._process
    apart.close()
    asking.join(60)
    assert found == ["pitbench is being left."]
    assert process.poll() is not None


def test_it_ends_when_the_one_who_asks_is_gone():
    alone = (
        "import os; from pitbench.apart import Apart;"
        "from pitbench.store.logbook import Logbook; apart = Apart();"
        "apart._answer = lambda process, *_: (print(process.pid, flush=True), os._exit(9));"  # as if killed
        "apart(None, Logbook.in_memory().snapshot())"
    )
    run = subprocess.run([sys.executable, "-c", alone], capture_output=True, text=True, check=False)
    assert run.returncode == 9
    until(lambda: not _runs(int(run.stdout)))


def _runs(process):
    try:
        state = Path(f"/proc/{process}/stat").read_text().split(")")[1].split()[0]
    except FileNotFoundError:
        return False
    return state != "Z"  # ended, and nobody has asked how


def test_what_would_change_without_a_run_is_asked_apart(apart):
    bench = two_motors()
    odd = bench.run("Heron", "2026-04-11T19:10", kv_rpm_per_v=4100.0, no_load_current_a=4.0)
    snapshot = bench.logbook.snapshot()
    with_it = apart(partial(ranked, class_name="club 13.5T"), snapshot).answer
    question = partial(without_run, class_name="club 13.5T", run_id=odd.id)
    without = question(snapshot)
    assert apart(question, snapshot) == without != with_it


def _step_by_step(snapshot, told, steps=4):
    for step in range(steps):
        told(step / steps)
    return os.getpid()


def _tells_without_end(snapshot, told):
    told(0.5)
    time.sleep(600)


def test_one_that_takes_long_tells_how_far_it_is(apart):
    seen, progress = [], Progress()
    progress.told = seen.append
    assert apart(_step_by_step, two_motors().logbook.snapshot(), progress) != os.getpid()
    assert seen == [0, 0.25, 0.5, 0.75]


def test_one_that_is_stopped_ends_at_once_and_the_next_is_answered(apart):
    found, progress, snapshot = [], Progress(), two_motors().logbook.snapshot()

    def ask():
        try:
            found.append(apart(_tells_without_end, snapshot, progress))
        except Refusal as refusal:
            found.append(str(refusal))

    asking = Thread(target=ask)
    asking.start()
    until(lambda: progress.part == 0.5)
    process = apart._process
    progress.stop()
    asking.join(60)
    assert found == ["Stopped, nothing was stored."] and process.poll() is not None
    assert apart(_step_by_step, snapshot, Progress())


def test_one_stopped_before_its_turn_is_not_begun_for_long(apart):
    progress = Progress()
    progress.stop()
    with pytest.raises(Refusal, match="Stopped"):
        apart(_tells_without_end, two_motors().logbook.snapshot(), progress)


def test_one_that_tells_is_worked_out_here_where_there_is_no_other_process(apart, monkeypatch):
    monkeypatch.setattr(sys, "executable", "/no/such/program")
    progress = Progress()
    assert apart(_step_by_step, two_motors().logbook.snapshot(), progress) == os.getpid()
    assert progress.part == 0.75
