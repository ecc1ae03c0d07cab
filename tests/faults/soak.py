"""A process that saves and saves until it is stopped, for whoever pulls its plug.

    python -m tests.faults.soak FILE [--saves N] [--stay]    prints "ACK k" after each durable save of the number k
    python -m tests.faults.soak FILE --look    prints "HAVE k", or says what is wrong with the file and ends with 3

After a save that failed it ends with the sentence; with --stay it prints "NOT k" and goes on as it is, not started
again. Once the list of changes is full (changes.KEPT saves) half of the saves make the file shorter.
"""

import argparse
import os
import random
import sys
import time
from collections.abc import Sequence
from itertools import count
from pathlib import Path

from pitbench.records.models import BenchRun, Build, Motor
from pitbench.records.refusal import Refusal
from pitbench.store.logbook import Logbook, Snapshot
from pitbench.store.refusals import NotSaved

RUNS = 50
LONGEST = 1900
PAUSE_S = 0.02


def soak(path: Path, saves: int | None = None, stay: bool = False) -> None:
    """Save the next number again and again: in the settings, in the note of one run, as the words of the change."""
    with Logbook.open(path, create=True) as logbook:
        if not logbook.rows("motor"):
            _begin(logbook)
        runs = logbook.records("bench_run")
        for nth in count(1):
            number = _kept(logbook.snapshot()) + 1
            note = f"{number} {'x' * random.randrange(LONGEST)}"
            weights = logbook.settings().with_(weights={"k": number})
            try:
                logbook.save(str(number), [random.choice(runs).with_(note=note.strip()), weights])
            except NotSaved:
                if not stay:
                    raise
                _say(f"NOT {number}")
                time.sleep(PAUSE_S)
            else:
                _say(f"ACK {number}")
            if nth == saves:
                break


def look(path: Path) -> int:
    """The number in the file, or an error when its places do not say the same; every record is checked."""
    logbook = Logbook.open(path, write=False)
    logbook.verify()
    number = _kept(logbook.snapshot())
    notes = [str(row["note"]).split()[0] for row in logbook.rows("bench_run") if "note" in row]
    told = logbook.journal.listed()[0].words
    if number and not (told == str(number) == max(notes, key=int)):
        raise Refusal(f"{path} holds half a save: {number} in the settings, {told!r} in the changes.")
    return number


def _begin(logbook: Logbook) -> None:
    motor = Motor(name="Heron")
    build = Build(motor_id=motor.id)
    of = {"motor_id": motor.id, "build_id": build.id, "taken_at": "2026-04-12T14:02"}
    runs = [BenchRun.of({**of, "place": place, "kv_rpm_per_v": 3980}) for place in range(RUNS)]
    logbook.save("a start", [motor, build, *runs])


def _kept(logbook: Snapshot) -> int:
    return int(logbook.settings().weights.get("k", 0))


def _say(words: str) -> None:
    """At once and whole, so that nothing said is lost in a buffer when the process is killed."""
    os.write(1, f"{words}\n".encode())


def main(words: Sequence[str] | None = None) -> int:
    """The exit status: 0, that of a refusal, or 3 for a file that is not as it must be."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.soak")
    parser.add_argument("file", type=Path)
    parser.add_argument("--saves", type=int)
    parser.add_argument("--stay", action="store_true")
    parser.add_argument("--look", action="store_true")
    args = parser.parse_args(words)
    try:
        if args.look:
            _say(f"HAVE {look(args.file)}")
        else:
            soak(args.file, args.saves, args.stay)
    except Refusal as refusal:
        print(refusal, file=sys.stdout if args.look else sys.stderr)
        return 3 if args.look else refusal.status
    return 0


if __name__ == "__main__":
    sys.exit(main())
