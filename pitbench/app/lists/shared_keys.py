"""What a key of every list screen does, whichever screen it is: a form begun, a step taken back, the bin.

Each is called with the screen, which says which motor is meant. Actions name them in `of`, see `actions`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from pitbench.records.keys import key_for

if TYPE_CHECKING:
    from pitbench.app.lists.list_screen import ListScreen

OF_WHICH = ("id", "motor_id", "track_run_id")
"""What tells that a record is meant by a mark: itself, its motor, or the run it was read after."""


def bench_run(screen: ListScreen) -> None:
    """Of the marked motor."""
    _run(screen, "bench", screen.marked_motor())


def winding(screen: ListScreen) -> None:
    """Of the marked motor: the form of a bench run begins with the resistance."""
    _run(screen, "bench", screen.marked_motor(), first="resistance_mohm")


def same_again(screen: ListScreen) -> None:
    """Of the motor of the last bench run."""
    _run(screen, "bench", None)


def track_run(screen: ListScreen) -> None:
    """Of the marked motor; after it was saved, what was changed in its form is offered for the setup log, and a change
    whose outcome is open is asked about."""
    pit = screen.pit

    def done(run_id: str | None) -> None:
        from pitbench.app.dialogs.outcome import ask_outcome
        from pitbench.app.dialogs.tell_log import offer_for_log

        run = pit.snapshot.row("track_run", run_id) if run_id else None
        if run is not None:
            offer_for_log(pit, run["id"], lambda: ask_outcome(pit, run["motor_id"], run.get("car_id")))

    _run(screen, "track", screen.marked_motor(), done)


def _run(
    screen: ListScreen, kind: str, motor: str | None, then: Callable[[str | None], None] | None = None, **named: Any
) -> None:
    if screen.pit.snapshot.rows("motor"):
        screen.pit.routes.open_form(f"{kind}-form", motor, then=then, **named)
    elif screen.pit.writing.may():
        screen.pit.say(f"A {kind} run needs a motor: {key_for('add-motor')} writes one down.")


def reading(screen: ListScreen) -> None:
    """Of the marked motor's newest run today."""
    from pitbench.desk.entry.cooling_entry import run_to_read

    pit, motor = screen.pit, screen.marked_motor()
    if run_to_read(pit.snapshot, motor, pit.clock()) is not None:
        pit.routes.open_form("reading-form", motor)
    elif pit.writing.may():
        pit.say(f"No track run today to read a temperature of: {key_for('add-track-run')} writes one down.")


def a_number(screen: ListScreen) -> None:
    """The number that waits: of the marked run or motor, else of the newest run with one."""
    from pitbench.desk.answered import waiting

    pit, found = screen.pit, waiting(screen.pit.snapshot)
    marked = {screen.pane.key, screen.marked_motor()} - {None}
    near = next((each for each in found if marked & {each[1].get(name) for name in OF_WHICH}), None)
    if not found:
        pit.say("No number waits for an answer.")
        return
    kind, row = near or found[0]
    if kind == "cooling":
        from pitbench.app.dialogs.ask_reading import ask_reading

        ask_reading(pit, row)
    elif kind == "motor":
        pit.routes.open_form("motor-form", row["id"], asking=True)
    else:
        pit.routes.open_form(f"{kind.removesuffix('_run')}-form", None, run_id=row["id"], asking=True)


def load_log(screen: ListScreen) -> None:
    """Of the marked run, else of a run of the marked motor that is asked for."""
    motor = screen.marked_motor()
    if motor is not None:
        from pitbench.app.dialogs.read_log import read_log

        read_log(screen.pit, motor, screen.marked_run())
    else:
        screen.pit.say("A load log belongs to a motor: put the mark on its run, or on the motor.")


def motor_part(screen: ListScreen, name: str) -> None:
    """A part of the page of the marked motor, else of the one that ran last."""
    motor = _meant(screen)
    if motor is None:
        screen.pit.say(f"There is no motor yet: {key_for('add-motor')} writes one down.")
    else:
        screen.pit.routes.open(name, motor)


def swap(screen: ListScreen) -> None:
    """Of parts of the marked motor, else of one that is named in the form."""
    screen.pit.routes.open_form("swap-form", screen.marked_motor())


def _meant(screen: ListScreen) -> str | None:
    """The marked motor, else the one that ran last, else the first."""
    from pitbench.desk.builds import made_at

    motors = [row["id"] for row in screen.pit.snapshot.rows("motor")]
    runs = [row for kind in ("bench_run", "track_run") for row in screen.pit.snapshot.rows(kind)]
    ran = sorted((run for run in runs if run["motor_id"] in motors), key=made_at)
    return next(iter([*filter(None, [screen.marked_motor()]), *(run["motor_id"] for run in ran[-1:]), *motors]), None)


def event(screen: ListScreen) -> None:
    """The event that is on; a new one when none is."""
    from pitbench.desk.places import event_on

    on = event_on(screen.pit.snapshot, screen.pit.clock())
    screen.pit.routes.open_form("event-form", event_id=on["id"] if on else None)


def on_paper(screen: ListScreen) -> None:
    """The race day of the event that is on, else of the newest."""
    from pitbench.app.dialogs.on_paper import put_on_paper

    put_on_paper(screen.pit)


def class_sheet(screen: ListScreen) -> None:
    """One of several is chosen first."""
    from pitbench.app.dialogs.which_class import open_class_sheet

    open_class_sheet(screen.pit, screen.marked_motor())


def the_bin(screen: ListScreen) -> None:
    """It is a part of Runs; there the same key leads back."""
    runs: Any = screen.pit.routes.go_to("runs")
    runs.show_bin(not (runs.in_bin and runs is screen))
