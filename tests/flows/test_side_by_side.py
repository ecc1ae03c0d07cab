"""Motors side by side, driven by keys: from every screen that marks a motor, in batches, at three sizes."""

from pathlib import Path

import pytest

from pitbench.bootstrap import open_for_writing
from pitbench.desk.comparing.side_by_side import side_by_side
from pitbench.desk.workshop import Workshop
from pitbench.records.models import ClassSheet, Motor
from tests.flows.conftest import bench_run

BESIDE, AWAY = "equals_sign", "minus"


@pytest.fixture
def more_motors(two_motors: Path) -> Path:
    """Lapwing and Whio, Heron and Siskin of their class, and Redshank of another; by name on Motors."""
    with open_for_writing(two_motors) as book:
        class_id = book.rows("class_sheet")[0]["id"]
        other = ClassSheet(name="club 21.5T")
        motors = [Motor(name=name, class_id=class_id, turns=13.5, poles=2) for name in ("Heron", "Siskin")]
        motors.append(Motor(name="Redshank", class_id=other.id))
        workshop, runs = Workshop(book), []
        for nth, motor in enumerate(motors):
            build = workshop.first_build(motor.row(), {})
            day = "09" if motor.name == "Redshank" else "10"
            for minute in (0, 1):
                at = f"2026-05-{day}T19:{5 * nth + minute:02d}"
                runs.append(bench_run(motor.id, build["id"], at, 3900 + minute, 4.4))
        book.save("more", [other, *motors, *workshop.to_save.values(), *runs])
    return two_motors


def row_of(hands, text):
    """The row of the table that begins so."""
    return next(row for row in hands.rows if row.replace("▸", " ").strip().startswith(text))


async def mark(hands, name):
    """Put the mark of the list on a motor."""
    await hands.press("home")
    while not any("▸" in row and name in row for row in hands.rows[3:]):
        await hands.press("down")


async def put_both(hands, one, other):
    await mark(hands, one)
    await hands.press(BESIDE)
    await mark(hands, other)
    await hands.press(BESIDE)


async def test_from_motors_it_shows_what_the_command_says(at_the_keys, more_motors):
    async with at_the_keys(more_motors) as hands:
        await mark(hands, "Heron")
        await hands.press(BESIDE)
        assert "Heron is held: mark another and press = again." in hands.text
        await mark(hands, "Whio")
        await hands.press(BESIDE)
        found = side_by_side(hands.book.snapshot(), ["Heron", "Whio"]).answer.figures["no_load_current_a"]
        row = row_of(hands, "no-load current").split()
        assert "Heron beside Whio:" in hands.text and "held" not in hands.text
        assert row[3:5] == [f"{value.mean:.2f}" for value in found.values]
        assert row[5] == f"{found.differences[0].mean:+.2f}" and row[7] == found.differences[0].better == "Whio"
        assert "RUNS OF KV, AS THEY COMPARE" in hands.text
        await hands.press("v")
        assert row_of(hands, "Heron 3").split() == ["Heron", "3900", "3901"] and "AS READ" in hands.text
        await hands.press("down")
        assert row_of(hands, "Whio ").split() == ["Whio", "4.00", "4.00"]
        await hands.press("escape")
        assert hands.rows[0].startswith(" pitbench ▸1 Motors") and "LAPWING" not in hands.rows[2]


async def test_from_rankings_and_from_a_motors_page(at_the_keys, more_motors):
    async with at_the_keys(more_motors) as hands:
        await hands.press("3")
        first, second = (row.replace("▸", " ").split()[1] for row in _ranked(hands))
        await hands.press("home", BESIDE, "down", BESIDE)
        assert f"{first} beside {second}:" in hands.text
        await hands.press("1")
        await mark(hands, "Siskin")
        await hands.press("enter", BESIDE, "escape")
        await mark(hands, "Heron")
        await hands.press("enter", BESIDE)
        assert "Siskin beside Heron:" in hands.text
        await hands.press("escape")
        assert "Heron" in hands.rows[2], "back on the page of the motor"


def _ranked(hands):
    return [row_of(hands, "1  "), row_of(hands, "2  ")]


async def test_keys_may_come_faster_than_the_screen(at_the_keys, more_motors):
    async with at_the_keys(more_motors) as hands:
        await hands.press(BESIDE, "down", BESIDE, "down", "down", "v", BESIDE, "1", AWAY, "1", "end")
        assert "RUNS OF TRACK PACE, AS READ" in hands.text
        names = next(row for row in hands.rows if " beside " in row).split(":")[0].split()
        assert len(names) == 3 and len({names[0], names[2]}) == 2


async def test_up_to_four_stand_there_and_one_goes_at_a_time(at_the_keys, more_motors):
    async with at_the_keys(more_motors) as hands:
        await put_both(hands, "Heron", "Lapwing")
        await hands.press(BESIDE, "2")
        assert row_of(hands, "figure").split() == ["figure", "Heron", "Lapwing", "Whio"]
        assert "less Heron" in hands.text and "▲ better than Heron" in hands.text
        await hands.press(BESIDE, "1")
        assert row_of(hands, "figure").split()[1:] == ["Heron", "Lapwing", "Whio", "Siskin"]
        await hands.press(BESIDE)
        assert "Four motors stand side by side at most" in hands.text
        await hands.press(AWAY, "1")
        assert row_of(hands, "figure").split()[1:] == ["Lapwing", "Whio", "Siskin"]
        await hands.press(AWAY, "enter", AWAY)
        assert "Lapwing beside Whio:" in hands.text and "Two motors are the least." in hands.text


async def test_what_cannot_stand_side_by_side_is_said_and_nothing_is_stuck(at_the_keys, more_motors):
    async with at_the_keys(more_motors) as hands:
        await mark(hands, "Heron")
        await hands.press(BESIDE, BESIDE)
        assert "Heron is held" in hands.text
        await mark(hands, "Redshank")
        await hands.press(BESIDE)
        assert "Redshank is of another class than Heron, so it is held instead" in hands.text
        await hands.press(AWAY)
        assert "Redshank let go." in hands.text
        await hands.press(AWAY)
        assert "No motor is held." in hands.text
        await put_both(hands, "Heron", "Whio")
        assert "Heron beside Whio:" in hands.text


async def test_enter_leads_to_the_runs_of_one_of_them(at_the_keys, more_motors):
    async with at_the_keys(more_motors) as hands:
        await put_both(hands, "Heron", "Whio")
        await hands.press("enter")
        assert "Whose runs?" in hands.text
        await hands.press("2")
        assert "2 of 10 runs of Whio: Whio" in hands.text


async def test_a_motor_in_the_bin_leaves_and_with_it_the_screen(at_the_keys, more_motors):
    async with at_the_keys(more_motors) as hands:
        await put_both(hands, "Heron", "Whio")
        motor = next(each for each in hands.book.records("motor") if each.name == "Whio")
        hands.book.save("binned", [motor.model_copy(update={"binned_at": "2026-05-17T14:00"})])
        await hands.settle()
        assert "beside" not in hands.rows[2]


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (160, 45)])
async def test_every_run_has_its_column_where_there_is_room(at_the_keys, more_motors, size):
    async with at_the_keys(more_motors, size) as hands:
        await put_both(hands, "Lapwing", "Whio")
        assert ("EVERY RUN, AS IT COMPARES" in hands.text) == (size[0] >= 100)
        assert all(len(row) == size[0] for row in hands.rows) and len(hands.rows) == size[1]
        if size[0] >= 100:
            heads = next(at for at, row in enumerate(hands.rows) if "EVERY RUN" in row) + 1
            assert hands.rows[heads].split() == ["Lapwing", "Whio"]
            assert hands.rows[heads + 1].split() == ["10", "May", "18:10", "10", "May", "18:15"]
            assert len(hands.rows[heads + 2].split()) == 2 + 4
        assert hands.rows[-1].split()[-3:] == ["?", "all", "keys"]
        await hands.press("end")
        assert ("EVERY RUN" in hands.text) == (size[0] >= 100) and "cannot te…" not in hands.text


async def test_explaining_and_the_key_list_know_it(at_the_keys, more_motors):
    async with at_the_keys(more_motors, (100, 60)) as hands:
        await put_both(hands, "Heron", "Whio")
        await hands.press("i")
        assert "▸ side by side" in hands.text
        await hands.press("escape", "question_mark")
        assert "= - motors side by side" in hands.text


async def test_of_very_many_motors_another_is_marked_in_the_list(at_the_keys, more_motors):
    with open_for_writing(more_motors) as book:
        class_id = book.rows("class_sheet")[0]["id"]
        book.save("many", [Motor(name=f"Knot {nth}", class_id=class_id) for nth in range(20)])
    async with at_the_keys(more_motors) as hands:
        await put_both(hands, "Heron", "Whio")
        await hands.press(BESIDE)
        assert "▸1 Motors" in hands.rows[0] and "Heron and Whio are held: mark another" in hands.text
        await mark(hands, "Siskin")
        await hands.press(BESIDE)
        assert row_of(hands, "figure").split()[1:] == ["Heron", "Whio", "Siskin"]


async def test_a_held_motor_that_went_to_the_bin_is_held_no_more(at_the_keys, more_motors):
    async with at_the_keys(more_motors) as hands:
        await mark(hands, "Heron")
        await hands.press(BESIDE, "d", "y")
        await mark(hands, "Whio")
        await hands.press(BESIDE)
        assert "Whio is held: mark another" in hands.text


async def test_sentences_name_the_keys_as_they_are_set(at_the_keys, more_motors):
    keys = {"theme": "dark", "keys": {"put-beside": "v", "take-away": "y"}}
    async with at_the_keys(more_motors, hands=keys) as hands:
        await mark(hands, "Heron")
        await hands.press("v")
        assert "Heron is held: mark another and press v again." in hands.text and "y lets go" in hands.text
        await mark(hands, "Whio")
        await hands.press("v")
        assert "Heron beside Whio:" in hands.text
