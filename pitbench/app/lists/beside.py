"""Put beside, take away: which motors are to stand side by side, on whatever screen a motor is marked.

The first = holds the marked motor, the next one on another motor shows both; - lets go.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.desk.named import name_of
from pitbench.records.keys import key_for
from pitbench.records.spoken import listed

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp
    from pitbench.app.lists.list_screen import ListScreen

PUT, TAKE = "put-beside", "take-away"


def put_beside(screen: ListScreen) -> None:
    """Hold the marked motor, or show it beside those held."""
    pit, motor = screen.pit, screen.marked_motor()
    if motor is None or pit.logbook is None:
        pit.say(f"{key_for(PUT)} puts a motor beside another: mark one first.")
        return
    standing = {row["id"] for row in pit.snapshot.rows("motor")}
    held = [each for each in pit.held if each in standing and each != motor]
    if not held:
        pit.held = [motor]
        say_held(pit)
    elif _class_of(pit, motor) != _class_of(pit, held[0]):
        pit.held = [motor]
        was, now = _named(pit, held), _named(pit, [motor])
        pit.say(f"{now} is of another class than {was}, so it is held instead: mark another of its class.")
    else:
        pit.held = []
        pit.say("")
        pit.routes.open("side-by-side", [*held, motor])


def take_away(screen: ListScreen) -> None:
    """Let go of what is held."""
    pit = screen.pit
    if pit.held and pit.logbook is not None:
        pit.say(f"{_named(pit, pit.held)} let go.")
    else:
        key = key_for(PUT)
        pit.say(f"No motor is held. {key} on one, then {key} on another, shows both side by side.")
    pit.held = []


def _class_of(pit: PitbenchApp, motor: str) -> str | None:
    from pitbench.desk.lists.motors import class_of

    return class_of(pit.snapshot, motor)


def _named(pit: PitbenchApp, motors: list[str]) -> str:
    return listed([name_of(pit.snapshot, "motor", each) for each in motors])


def say_held(pit: PitbenchApp) -> None:
    """What is held, and which keys go on from there."""
    its = "is" if len(pit.held) == 1 else "are"
    hint = f"{key_for(TAKE)} lets go"
    pit.say(f"{_named(pit, pit.held)} {its} held: mark another and press {key_for(PUT)} again.", hint)
