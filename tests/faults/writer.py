"""A process that keeps saving until it is stopped, for the tests that kill it, and one that says what is there.

writer.py init FILE [COUNT]    a logbook of COUNT bench runs, the number 0 in its settings
writer.py write FILE [--once] [--shrink]    prints "ACK k" after each durable save of the number k
writer.py have FILE            prints "HAVE k", or says why the file cannot be read and ends with 3
"""

import os
import random
import sys
from pathlib import Path

from pitbench.records.models import BenchRun, Build, Motor
from pitbench.records.refusal import Refusal
from pitbench.store.logbook import Logbook


def init(path: Path, count: int) -> None:
    motor = Motor(name="Heron")
    build = Build(motor_id=motor.id)
    runs = [
        BenchRun(motor_id=motor.id, build_id=build.id, taken_at="2026-04-12T14:02", place=place, kv_rpm_per_v=3980)
        for place in range(count)
    ]
    with Logbook.open(path, create=True) as logbook:
        logbook.save("a start", [motor, build, *runs])
        logbook.save_settings("0", logbook.settings().with_(weights={"k": 0}))


def write(path: Path, once: bool, shrink: bool) -> None:
    """Each save changes the length of one run's note and the number, as an edit does."""
    with Logbook.open(path) as logbook:
        number = int(logbook.settings().weights["k"])
        runs = logbook.records("bench_run")
        while True:
            number += 1
            note = None if shrink else "x" * random.randrange(10, 400)
            run = random.choice(runs).with_(note=note)
            logbook.save(str(number), [run, logbook.settings().with_(weights={"k": number})])
            os.write(1, f"ACK {number}\n".encode())
            if once:
                break


def have(path: Path) -> int:
    try:
        logbook = Logbook.open(path, write=False)
        logbook.verify()
    except Refusal as refusal:
        print(refusal)
        return 3
    print("HAVE", int(logbook.settings().weights["k"]))
    return 0


if __name__ == "__main__":
    what, place, options = sys.argv[1], Path(sys.argv[2]), sys.argv[3:]
    try:
        if what == "init":
            init(place, int(options[0]) if options else 50)
        elif what == "write":
            write(place, "--once" in options, "--shrink" in options)
        else:
            sys.exit(have(place))
    except Refusal as refusal:
        print(refusal, file=sys.stderr)
        sys.exit(refusal.status)
