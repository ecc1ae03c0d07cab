"""Ctrl+P finds what a racer would type, from every main screen, and does it."""

import shutil

import pytest

from pitbench.app.dialogs.palette import Command
from pitbench.app.routes import screen_class
from pitbench.demo import demo_logbook

FOUND = {
    "card": ("card for the main", "main-card"),
    "sweep": ("timing sweep", "sweeps"),
    "session": ("bench session", "bench-session"),
    "class": ("class sheet", ""),
    "print": ("print the day", ""),
    "swap": ("swap parts", "swap-form"),
    "cautions": ("cautions", "cautions"),
    "side by side": ("beside", ""),
    "load log": ("load log", ""),
    "motor model": ("motor model", "motor-model"),
}
"""Typed words, the command that stands first, and the route it leads to; said below where it depends on the mark."""
SAID = {
    "class": ("Which class", "class sheet"),
    "print": ("on paper, into:",),
    "side by side": ("held: mark another and press = again", "= puts a motor beside another: mark one first"),
    "load log": ("no run of these: of the motor alone", "another file, or its folder", "A load log belongs to a motor"),
}


@pytest.fixture
def weekend(tmp_path):
    return shutil.copy(demo_logbook(), tmp_path / "logbook.json")


async def test_what_is_typed_is_found_first_from_every_main_screen(at_the_keys, weekend):
    async with at_the_keys(weekend) as hands:
        for screen in range(1, 8):
            await hands.press(str(screen))
            offered = [Command(*each[:3]) for each in hands.app.get_system_commands(hands.app.screen)]
            for typed, (name, _) in FOUND.items():
                first = max(offered, key=lambda each, typed=typed: each.score(typed))
                assert first.score(typed) and first.name.startswith(name), (screen, typed, first.name)


@pytest.mark.parametrize("screen", range(1, 8))
async def test_enter_on_it_does_it(at_the_keys, weekend, screen):
    """A part of all from each main screen; from one to another every part is done."""
    async with at_the_keys(weekend) as hands:
        for typed, (name, route) in list(FOUND.items())[screen % 3 :: 3]:
            await hands.press(str(screen))
            hands.app.say("")
            before = hands.text
            await hands.command(typed, name)
            await hands.settle()
            if route:
                assert type(hands.app.screen) is screen_class(route), (typed, hands.text)
            else:
                assert hands.text != before and any(each in hands.text for each in SAID[typed]), (typed, hands.text)
            hands.app.held = []
            hands.app.routes.go_to("motors")
            await hands.settle()


async def test_each_action_stands_once_and_on_one_line(at_the_keys, weekend):
    async with at_the_keys(weekend) as hands:
        for screen in range(1, 8):
            await hands.press(str(screen))
            offered = [command.title for command in hands.app.get_system_commands(hands.app.screen)]
            assert len(set(offered)) == len(offered), offered
        await hands.press("1", "ctrl+p", *"print")
        await hands.until(lambda: "print the day (W)         print the race day" in "\n".join(hands.rows))


async def test_what_nothing_is_called_leads_to_all_keys(at_the_keys, empty):
    async with at_the_keys(empty) as hands:
        await hands.command("xyzzy", "nothing is called so")
        assert type(hands.app.screen) is screen_class("keys")


async def test_a_part_is_shown_of_the_motor_that_ran_last_where_none_is_marked(at_the_keys, weekend):
    async with at_the_keys(weekend) as hands:
        await hands.press("6")
        assert hands.app.screen.marked_motor() is None
        await hands.command("motor model", "motor model")
        assert type(hands.app.screen) is screen_class("motor-model")


async def test_without_a_motor_it_says_how_to_write_one_down(at_the_keys, empty):
    keys = {"theme": "dark", "keys": {"add-motor": "n"}}
    async with at_the_keys(empty, hands=keys) as hands:
        assert "1   n   Write down a motor." in "\n".join(hands.rows)
        await hands.command("sweep", "timing sweep")
        assert "There is no motor yet: n writes one down." in hands.text
