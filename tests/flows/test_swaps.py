"""Parts swapped by keys: from a motor's page with five keys, batches and pastes, taken back, drafts, and the page."""

import pytest

from pitbench.app.forms.swap_form import SwapForm
from pitbench.bootstrap import open_for_writing
from pitbench.desk.workshop import Workshop


@pytest.fixture
def parts_named(two_motors):
    """Lapwing with rotor R6, Whio with R8, the rest their own."""
    with open_for_writing(two_motors) as book:
        workshop = Workshop(book)
        for motor, rotor in zip(book.rows("motor"), ("R6", "R8"), strict=True):
            workshop.describe(motor, {"rotor": rotor})
        book.save("rotors", workshop.to_save.values())
    return two_motors


def entries(hands):
    return sorted((row["was"], row["now"]) for row in hands.book.rows("setup_entry"))


async def test_two_rotors_change_places_with_five_keys_and_u_takes_it_back(at_the_keys, parts_named):
    async with at_the_keys(parts_named) as hands:
        await hands.press("enter")
        before = hands.pressed
        await hands.press("c", "r")
        assert "Swap of parts" in hands.rows[0] and len(hands.rows) == 24
        assert "Rotors: R6 in Lapwing, R8 in Whio." in hands.text
        await hands.type("r8")
        await hands.settle()
        assert "R8 comes out of Whio, which gets R6." in hands.text
        await hands.press("f2")
        assert hands.pressed - before == 5
        assert entries(hands) == [("R6", "R8"), ("R8", "R6")]
        assert "Saved 14:02: Lapwing, rotor R6 to R8; Whio, rotor R8 to R6." in hands.text
        await hands.press("u")
        assert entries(hands) == [] and "Taken back: Lapwing, rotor R6 to R8" in hands.text


async def test_all_keys_at_once(at_the_keys, parts_named):
    async with at_the_keys(parts_named) as hands:
        await hands.pilot.press("enter", "c", "r", "r", "8", "f2", "escape", "down", "enter", "c", "e", "E", "9", "f2")
        await hands.settle()
        assert entries(hands) == [("R6", "R8"), ("R8", "R6"), ("Whio end bell", "E9")]


async def test_c_twice_is_a_change_of_the_setup_of_this_motor(at_the_keys, parts_named):
    async with at_the_keys(parts_named) as hands:
        await hands.press("down", "enter", "c", "c")
        await hands.enter("bearings", "", "oiled")
        await hands.press("f2")
        (entry,) = hands.book.rows("setup_entry")
        assert hands.book.row("motor", entry["motor_id"])["name"] == "Whio" and entry["now"] == "oiled"


async def test_f4_puts_the_part_that_is_begun_and_enter_goes_through(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        hands.app.routes.open_form("swap-form", None, "rotor", "Whio rotor")
        await hands.settle()
        await hands.type("Lapwing")
        await hands.settle()
        assert "Whio rotor comes out of Whio, which gets Lapwing rotor." in hands.text
        await hands.press("enter", "ctrl+u")
        await hands.type("wh")
        await hands.settle()
        assert "F4 puts Whio rotor." in hands.text
        await hands.press("f4")
        await hands.enter("", "", "")
        await hands.press("enter")
        assert entries(hands) == [("Lapwing rotor", "Whio rotor"), ("Whio rotor", "Lapwing rotor")]


async def test_a_part_that_is_there_already_and_nothing_typed_are_said(at_the_keys, parts_named):
    async with at_the_keys(parts_named) as hands:
        await hands.press("enter", "c", "r", "f2")
        assert "Nothing was typed here" in hands.text
        await hands.type("R6")
        await hands.press("f2")
        assert "Rotor R6 is in Lapwing already; another part would be right." in hands.text
        assert not entries(hands) and isinstance(hands.app.screen, SwapForm)


async def test_what_is_given_whole_needs_f2_alone(at_the_keys, parts_named):
    async with at_the_keys(parts_named) as hands:
        motor = next(row["id"] for row in hands.book.rows("motor") if row["name"] == "Lapwing")
        part = next(row["id"] for row in hands.book.rows("part") if row["name"] == "R8")
        hands.app.routes.open_form("swap-form", motor, "rotor", part)
        await hands.settle()
        await hands.press("f2")
        assert entries(hands) == [("R6", "R8"), ("R8", "R6")]


async def test_a_swap_left_half_typed_is_offered_again(at_the_keys, parts_named):
    async with at_the_keys(parts_named) as hands:
        await hands.press("enter", "c", "r")
        await hands.type("R")
        await hands.settle()
        hands.app.pop_screen()
        await hands.settle()
        await hands.press("c", "s")
        assert "A half-filled swap of parts of Lapwing was kept." in hands.text
        await hands.press("enter")
        assert any("goes in" in row and " R" in row for row in hands.rows)


async def test_the_page_of_a_part_shows_where_it_was_and_leads_on(at_the_keys, parts_named):
    async with at_the_keys(parts_named) as hands:
        await hands.press("enter", "c", "r")
        await hands.type("R8")
        await hands.press("f2", "escape")
        hands.app.routes.open("part-page", "rotor", "R8")
        await hands.settle()
        assert "Rotor R8 in Lapwing since today 14:02" in hands.text and len(hands.rows) == 24
        assert "It went into another motor once; 2 bench runs and 0 track runs were made with it." in hands.text
        assert any(row.startswith(" ▸ Lapwing since today 14:02") for row in hands.rows)
        assert any("Whio to today 14:02" in row and " 2     0 " in row for row in hands.rows)
        await hands.press("c")
        assert any("goes in" in row and " R8" in row for row in hands.rows)
        await hands.press("escape", "down", "down", "enter")
        assert "2 of 4 runs of Whio: Whio 2026-05-10" in hands.text
