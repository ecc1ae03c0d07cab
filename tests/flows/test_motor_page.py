"""The motor page and the mixed list of runs by keys, on a motor that was on the bench and on the track."""

from pathlib import Path

import pytest

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import Cooling, Event, TrackRun


@pytest.fixture
def raced(two_motors: Path) -> Path:
    """Both motors in turn at Saltmouth, six days after the bench; the last of Lapwing's runs was read twice."""
    with open_for_writing(two_motors) as book:
        event = Event(name="Saltmouth", date="2026-05-16")
        builds = {row["motor_id"]: row["id"] for row in book.rows("build")}
        runs = []
        for nth in range(4):
            for place, (motor, lap) in enumerate(zip(book.rows("motor"), (14.0, 14.1), strict=True)):
                run = TrackRun(
                    motor_id=motor["id"],
                    build_id=builds[motor["id"]],
                    event_id=event.id,
                    started_at=f"2026-05-16T{10 + nth}:{20 * place:02d}",
                    round_kind="qualifier" if nth < 3 else "main",
                    round=str(nth + 1) if nth < 3 else "A",
                    pinion=31,
                    spur=72,
                    internal_ratio=1.9,
                    tyre_diameter_mm=62.5,
                    timing_mark_deg=35,
                    run_time_s=303,
                    laps=21,
                    lap_times_s=(lap,) * 21,
                    ambient_c=24,
                    finish_reading_c=68,
                    finish_reading_after_s=60,
                    result="third" if nth == 3 else None,
                )
                runs.append(run)
        book.save("race day", [event, *runs, Cooling(track_run_id=runs[-2].id, after_s=300, temp_c=51)])
    return two_motors


async def test_the_motor_page_shows_the_track_under_the_bench(at_the_keys, raced):
    async with at_the_keys(raced) as hands:
        await hands.press("enter")
        name = hands.rows[2].split()[0]
        assert f"4 track runs, last 16 May 13:{'00' if name == 'Lapwing' else '20'}: Saltmouth, main A." in hands.text
        session = next(at for at, row in enumerate(hands.rows) if row.startswith(" ▸ 10 May, 2 runs"))
        main, *qualifiers = hands.rows[session + 1 : session + 5]
        assert "Saltmouth, main A" in main and main.split()[-4:-1] == ["44.5", "35", "68"]
        assert [row.split("qualifier ")[1][0] for row in qualifiers] == ["3", "2", "1"]
        assert main.split()[-1].startswith("-" if name == "Lapwing" else "+")
        assert len(hands.rows) == 24 and all(len(row) == 80 for row in hands.rows)
        await hands.press("down", "enter")
        assert f"4 of 12 runs of {name}: {name} 2026-05-16 track" in hands.text


async def test_wider_shows_the_interval_of_pace(at_the_keys, raced):
    async with at_the_keys(raced, size=(140, 40)) as hands:
        await hands.press("enter")
        assert "pace, nine" in hands.text and "5:03 21 third" in hands.text


async def test_the_list_mixes_bench_and_track_and_words_narrow_it(at_the_keys, raced):
    async with at_the_keys(raced) as hands:
        await hands.press("2")
        assert "12 runs" in hands.rows[2]
        first = next(row for row in hands.rows if row.startswith(" ▸"))
        assert "16 May 13:20" in first and "main" in first and "31/72  44.5 mm  14.10 s  68 °C" in first
        for words, count in (("lap salt", 4), ("lap -bench", 4), ("bench", 4), ("track main", 2), ("2026-05-16 q", 6)):
            await hands.press("slash", "ctrl+u")
            await hands.type(words)
            await hands.settle()
            assert f"{count} of 12 runs" in hands.text, words


async def test_a_track_run_is_left_out_binned_with_its_reading_and_brought_back(at_the_keys, raced):
    async with at_the_keys(raced) as hands:
        await hands.press("2", "down", "x")
        await hands.enter("wrong tyres")
        assert "! out: wrong" in hands.text
        await hands.press("x")
        assert "! out" not in hands.text
        await hands.press("d")
        assert (len(hands.book.rows("track_run")), hands.book.rows("cooling")) == (7, [])
        await hands.press("z", "enter")
        assert (len(hands.book.rows("track_run")), len(hands.book.rows("cooling"))) == (8, 1)


async def test_e_on_a_track_run_opens_its_form(at_the_keys, raced):
    async with at_the_keys(raced) as hands:
        await hands.press("2", "e")
        assert "Edit track run" in hands.rows[0]


async def test_what_a_question_rests_on_is_never_spelt_out(at_the_keys, raced):
    class Question:
        def __call__(self, snapshot):
            return "done"

        def __repr__(self):
            raise AssertionError("thousands of draws would be written as text")

    async with at_the_keys(raced) as hands:
        hands.app.answers.ask(("test",), Question())
        await hands.settle()
        assert hands.app.answers.last(("test",)).value == "done"


@pytest.mark.parametrize("parts", range(5))
async def test_a_motor_that_is_taken_back_takes_its_page_and_all_parts_along(at_the_keys, two_motors, parts):
    async with at_the_keys(two_motors) as hands:
        await hands.press("m")
        await hands.enter("Avocet")
        await hands.press("f2", "home", "enter", *["tab"] * parts, "u")
        assert "▸ Lapwing" in hands.text and "Whio" in hands.text and "Avocet" not in hands.text.split("Taken back")[0]
