"""Tab goes through the parts of Runs: the list, the bench session, the plan for tonight; `i` explains a figure."""

import re

import pytest

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import Motor


async def test_tab_goes_through_the_parts_and_back(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "tab")
        assert "bench box, 10 May 18:00: 4 runs of 2 motors" in hands.text
        assert hands.text.count("heck motor") == 1  # one sentence, not two that compete
        await hands.press("tab")
        assert "BENCH PLAN FOR TONIGHT" in hands.text
        await hands.press("tab")
        assert "4 runs, newest first." in hands.text
        await hands.press("shift+tab", "shift+tab")
        assert "bench box, 10 May 18:00" in hands.text
        await hands.press("escape")
        assert "4 runs, newest first." in hands.text


async def test_the_session_says_how_far_two_runs_differ_by_luck(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "tab")
        assert "without touching the clips" in hands.text and "rpm/V" in hands.text


async def test_b_on_a_line_of_the_plan_logs_the_run_of_its_motor(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "shift+tab", "down")
        name = next(row.split()[2] for row in hands.rows if row.startswith(" ▸"))
        await hands.press("b")
        assert "New bench run" in hands.rows[0] and hands.rows[2].split()[0] == name


async def test_parts_without_any_run_say_so(at_the_keys, empty):
    with open_for_writing(empty) as book:
        book.save("motor", [Motor(name="Lapwing")])
    async with at_the_keys(empty) as hands:
        await hands.press("2", "tab")
        assert "No bench run yet" in hands.text
        await hands.press("tab")
        assert "▸2 Runs" in hands.rows[0]


async def test_i_explains_a_figure(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "i")
        assert "Source: Three-constant motor model (Drela" in hands.text
        await hands.press("down", "down", "down")
        assert "Speed ÷ voltage without load" in hands.text
        await hands.press("down", "down", "down", "down")
        assert "▸ winding resistance" in hands.text and "the best guess: what was read, drawn towards its" in hands.text
        await hands.press("escape")
        assert "▸3 Rankings" in hands.rows[0]


@pytest.mark.parametrize(
    ("digit", "words"),
    [("4", "never compared"), ("5", "one minute after the finish"), ("6", "in one turn of the motor")],
)
async def test_i_begins_with_what_matters_on_its_screen(at_the_keys, two_motors, digit, words):
    async with at_the_keys(two_motors) as hands:
        await hands.press(digit, "i")
        assert words in hands.text
        assert re.search(r"Source: .*(Definition|figures.md)\. +Esc back", hands.text)  # whole, over the footer
        await hands.press("home")
        assert "Source: Three-constant motor model" in hands.text


async def test_i_explains_from_the_motor_page_and_the_bench_session_too(at_the_keys, two_motors):
    async with at_the_keys(two_motors, (80, 38)) as hands:
        first = "Source: Three-constant motor model (Drela"
        session = (("1", "2", "tab"), "without touching the clips", "two of three lie within it")
        for keys, back, words in ((("1", "enter"), "bench session", first), session):
            await hands.press(*keys, "i")
            assert words in hands.text
            at = next(nth for nth, row in enumerate(hands.rows) if row[3:].startswith("runs to settle"))
            await hands.press("end")
            assert "ISO 5725-6" in hands.text
            assert hands.rows[at][3:].startswith("runs to settle")  # the list stands still
            await hands.press("i")
            assert back in hands.text


async def test_a_timing_sweep_is_shown_on_the_motors_own_page(at_the_keys, two_motors):
    with open_for_writing(two_motors) as book:
        motor = next(m for m in book.rows("motor") if m["name"] == "Lapwing")
        first = next(r for r in book.records("bench_run") if r.motor_id == motor["id"])
        runs = []
        for nth, mark in enumerate((30, 34, 38, 42)):
            more = {"timing_mark_deg": mark, "kv_rpm_per_v": 3850 + 20 * mark - 600, "no_load_current_a": 3 + mark / 40}
            sensors = dict.fromkeys(("timing_deg", "timing_a_deg", "timing_b_deg", "timing_c_deg"), mark + 7)
            at = {"taken_at": f"2026-05-12T19:{10 * nth:02d}", "id": f"sweep{nth}"}
            runs.append(first.with_(**more, **sensors, **at))
        book.save("sweep", runs)
    async with at_the_keys(two_motors) as hands:
        while "LAPWING" not in hands.text:
            await hands.press("down")
        await hands.press("enter", "tab", "tab")
        await hands.settle()
        assert "SWEEPS OF LAPWING" in hands.text and "One degree more: KV +" in hands.text
        rows = [row for row in hands.rows if "●" in row]
        assert [row.split()[0] for row in rows] == ["30", "34", "38", "42"]
        places = [row.index("●") for row in rows]  # of KV, which rises by the degree
        assert places == sorted(places) and len(set(places)) == 4
        await hands.press("shift+tab", "shift+tab")
        assert "bench session" in hands.text
        await hands.press("1", "home", "down", "enter", "tab", "tab")
        assert "SWEEPS OF" in hands.text or "No timing sweep of" in hands.text
