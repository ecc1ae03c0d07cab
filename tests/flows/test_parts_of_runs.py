"""Tab goes through the parts of Runs: the list, the bench session, the plan for tonight; `i` explains a figure."""

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import Motor


async def test_tab_goes_through_the_parts_and_back(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "tab")
        assert "bench box, 10 May 18:00: 4 runs of 2 motors" in hands.text
        assert "No check motor of earlier sessions." in hands.text
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
        assert "differ by luck alone" in hands.text and "rpm/V" in hands.text


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
        await hands.press("down", "down")
        assert "Speed ÷ voltage without load" in hands.text
        await hands.press("escape")
        assert "▸3 Rankings" in hands.rows[0]
