"""Gearing by keys: gears written down, sets by rollout, one tooth up and down, a wanted rollout found."""

import pytest

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import ClassSheet, Gear, Settings, TrackRun

RUN = {"pinion": 31, "spur": 72, "internal_ratio": 1.9, "tyre_diameter_mm": 62.5}


@pytest.fixture
def after_a_run(two_motors):
    """Two motors of a class with a longest rollout of 46 mm, and one track run on 31/72."""
    with open_for_writing(two_motors) as book:
        lapwing = next(row["id"] for row in book.rows("motor") if row["name"] == "Lapwing")
        build = next(row["id"] for row in book.rows("build") if row["motor_id"] == lapwing)
        sheet = ClassSheet.of(book.rows("class_sheet")[0]).with_(max_rollout_mm=46.0)
        run = TrackRun(motor_id=lapwing, build_id=build, started_at="2026-05-17T11:52", **RUN)
        book.save("a run", [sheet, run])
    return two_motors


@pytest.fixture
def with_gears(after_a_run):
    with open_for_writing(after_a_run) as book:
        made = [Gear(kind="pinion", teeth=teeth, module=25.4 / 64) for teeth in (29, 30, 31, 32, 33)]
        book.save(
            "gears", [*made, Gear(kind="spur", teeth=72, module=25.4 / 64), Gear(kind="pinion", teeth=21, module=0.5)]
        )
    return after_a_run


def marked(hands):
    return next(row for row in hands.rows if row.startswith(" ▸ ")).split()[1:3]


async def test_without_gears_it_says_how_to_enter_them_and_they_make_sets(at_the_keys, after_a_run):
    async with at_the_keys(after_a_run) as hands:
        await hands.press("6")
        assert "▸6 Gearing" in hands.rows[0] and len(hands.rows) == 24
        assert "+ writes down pinions and spurs. Until then, tooth by tooth round 31/72:" in hands.text
        assert marked(hands) == ["31", "72"]
        await hands.press("plus", "enter")
        await hands.enter("30 31-32", "64")
        await hands.press("f3")
        assert "Saved 14:02: pinions 30, 31 and 32." in hands.text
        await hands.enter("s", "72")  # what is filled in is selected: typing replaces it
        await hands.press("f2")
        assert len(hands.book.rows("gear")) == 4
        assert "Your 3 sets reach from 43.1 to 45.9 mm of rollout on 62.5 mm tyres." in hands.text
        await hands.press("u")
        assert "Your gears make no set yet" in hands.text


async def test_sets_by_rollout_with_what_the_class_does_not_allow(at_the_keys, with_gears):
    async with at_the_keys(with_gears) as hands:
        await hands.press("6")
        rollouts = ["41.6", "43.1", "44.5", "45.9", "47.4"]
        assert [row.split() for row in hands.rows if " 64 " in row] and all(each in hands.text for each in rollouts)
        assert "at most 46.0 mm of rollout. Your longest legal set is 32/72, 45.9 mm." in hands.text
        assert "the plan" in hands.text
        await hands.press("end")
        assert marked(hands) == ["33", "72"] and "! too long" in hands.text
        assert " ! Rollout is 1.37 mm over the 46.0 mm allowed." in hands.text


async def test_teeth_and_tyre_change_with_single_keys(at_the_keys, with_gears):
    async with at_the_keys(with_gears) as hands:
        await hands.press("6", "p")
        assert marked(hands) == ["32", "72"]
        await hands.press("P", "P", "P")
        assert marked(hands) == ["29", "72"]
        await hands.press("s", "y", "y", "Y")
        plan = next(row for row in hands.rows if "62.6 mm" in row and "1.9" in row).split()
        assert plan[:2] == ["29", "73"]
        await hands.press("S", "end", "enter")
        assert any("! 47.4 mm" in row for row in hands.rows[:10])
        assert hands.book.rows("track_run")[0]["pinion"] == 31  # nothing of it is stored


async def test_a_wanted_rollout_is_found_in_the_unit_shown(at_the_keys, with_gears):
    async with at_the_keys(with_gears) as hands:
        await hands.press("6", "f")
        await hands.enter("43")
        assert marked(hands) == ["30", "72"] and "Nearest to 43.0 mm: 30/72, 0.06 mm long." in hands.text
        await hands.press("f")
        await hands.enter("far")
        assert "Rollout far is no number" in hands.text
    with open_for_writing(with_gears) as book:
        book.save_settings("units", Settings(id="settings", length_unit="in"))
    async with at_the_keys(with_gears) as hands:
        await hands.press("6", "f")
        assert "Which rollout do you want, in in" in hands.text or "in inch" in hands.text
        await hands.enter("1.81")
        assert marked(hands) == ["32", "72"]


async def test_the_plan_is_typed(at_the_keys, with_gears):
    async with at_the_keys(with_gears) as hands:
        await hands.press("6", "e", "ctrl+u")
        await hands.type("500")
        await hands.press("f2")
        assert "Pinion 500 is not possible" in hands.text
        await hands.press("ctrl+u")
        await hands.type("25")
        await hands.press("f2")
        assert any(row.split()[:2] == ["25", "72"] for row in hands.rows)
        assert "Saved" not in hands.text


async def test_gears_are_listed_edited_and_binned(at_the_keys, with_gears):
    async with at_the_keys(with_gears) as hands:
        await hands.press("6", "d")
        assert "Tab shows them, d there puts one in the bin." in hands.text
        await hands.press("tab")
        assert "Your gears: 6 pinions, 1 spur." in hands.text
        assert "Nothing of its pitch to mesh with: pinion 21 of 50.8 DP, module 0.5." in hands.text
        await hands.press("d")
        assert "Your gears: 5 pinions, 1 spur." in hands.text
        await hands.press("z")
        assert any("pinion 29" in row and "64 DP, module 0.397" in row for row in hands.rows)
        await hands.press("enter", "6", "end", "e", "enter", "ctrl+u")
        await hands.type("76")
        await hands.press("f2")
        assert any("spur" in row and " 76 " in row for row in hands.rows)
        await hands.press("escape")
        assert "Your 5 sets" in hands.text


async def test_a_new_run_begins_the_plan_anew(at_the_keys, with_gears):
    async with at_the_keys(with_gears) as hands:
        await hands.press("6", "p")
        run = TrackRun.of(hands.book.rows("track_run")[0])
        hands.book.save(
            "a run", [TrackRun.of({**run.row(), "id": "next", "started_at": "2026-05-17T13:30", "pinion": 29})]
        )
        await hands.settle()
        assert marked(hands) == ["29", "72"]


async def test_the_palette_offers_the_steps_of_the_gears_and_no_others(at_the_keys, with_gears):
    async with at_the_keys(with_gears) as hands:
        await hands.press("6")
        offered = {command.title: command.callback for command in hands.app.get_system_commands(hands.app.screen)}
        assert {"pinion (p)", "tyre (Y)", "runs (2)"} <= set(offered) and "length (l)" not in offered
        offered["pinion (P)"]()
        await hands.pilot.pause()
        assert marked(hands) == ["30", "72"]


async def test_the_key_that_writes_gears_down_is_named_as_it_was_changed(at_the_keys, after_a_run):
    async with at_the_keys(after_a_run, hands={"theme": "dark", "keys": {"add-gears": "G"}}) as hands:
        await hands.press("6")
        assert "G writes down pinions and spurs. Until then" in hands.text
        await hands.press("tab")
        assert "No gears yet: G writes down" in hands.text


async def test_a_plan_is_typed_though_the_logbook_is_open_elsewhere(at_the_keys, with_gears):
    with open_for_writing(with_gears):
        async with at_the_keys(with_gears) as hands:
            await hands.press("6", "e")
            await hands.enter("30")
            assert "Gearing to look at" in hands.rows[0] and "not kept" not in hands.text
            await hands.press("f2")
            assert "▸6 Gearing" in hands.rows[0] and "30" in hands.text and "saved" not in hands.text
            assert "not kept" not in hands.text
