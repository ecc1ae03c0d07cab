"""What a change brought, by keys: under the marked entry, taken as its outcome, on the motor's page and on Rankings."""

import pytest

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import SetupEntry
from tests.flows.conftest import bench_run


@pytest.fixture
def cleaned(two_motors):
    """Lapwing's bearings cleaned between two evenings; Whio beside it on both."""
    with open_for_writing(two_motors) as book:
        ids = {row["name"]: row["id"] for row in book.rows("motor")}
        builds = {row["motor_id"]: row["id"] for row in book.rows("build")}
        runs = [
            bench_run(ids[name], builds[ids[name]], f"2026-05-17T09:{50 + 2 * nth + place}", 3945.0, amps)
            for nth in range(3)
            for place, (name, amps) in enumerate((("Lapwing", 3.5), ("Whio", 4.0)))
        ]
        entry = SetupEntry(written_at="2026-05-17T09:40", what="bearings", now="cleaned", motor_id=ids["Lapwing"])
        book.save("cleaned", [entry, *runs])
    return two_motors


async def test_the_outcome_offered_is_taken_with_one_key_and_taken_back_with_another(at_the_keys, cleaned):
    async with at_the_keys(cleaned) as hands:
        await hands.press("4")
        await hands.until(lambda: "Bench, 2 runs before and 3 after: current 0." in hands.text)
        assert "that it helped" in hands.text and "F4 takes: better" in hands.text
        await hands.press("f4")
        [entry] = hands.book.rows("setup_entry")
        assert entry["outcome"].startswith("better, ") and "Outcome: better, " in hands.text
        await hands.press("f4")
        assert "Its outcome is written down already" in hands.text
        assert hands.book.rows("setup_entry") == [entry]
        await hands.press("u")
        assert "outcome" not in hands.book.rows("setup_entry")[0]


async def test_what_the_racer_wrote_stays(at_the_keys, cleaned):
    async with at_the_keys(cleaned) as hands:
        await hands.press("4", "e")
        await hands.enter("feels smoother")
        await hands.until(lambda: "that it helped" in hands.text)
        await hands.press("ctrl+t")
        assert hands.book.rows("setup_entry")[0]["outcome"] == "feels smoother"
        assert "Outcome: feels smoother." in hands.text


async def test_keys_ahead_of_the_answer_take_nothing_that_is_not_there(at_the_keys, cleaned):
    async with at_the_keys(cleaned) as hands:
        await hands.press("4", "f4", "1")
        rows = hands.book.rows("setup_entry")
        assert "▸1 Motors" in hands.rows[0] and rows[0].get("outcome", "better").startswith("better")


async def test_the_motor_is_spoken_of_as_it_is_now(at_the_keys, cleaned):
    async with at_the_keys(cleaned) as hands:
        assert "Since bearings cleaned today 09:40; its figures are those since then" in hands.text
        await hands.press("enter")
        await hands.until(lambda: "Bearings cleaned. Bench, 2 runs before and 3 after" in hands.text)
        assert "Since: bearings cleaned today 09:40; it is ranked by the runs since then." in hands.text
        await hands.until(lambda: "bearings: cleaned: +" in hands.text)
        await hands.press("escape", "3")
        await hands.until(lambda: "As they are since: Lapwing bearings cleaned today 09:40." in hands.text)
        await hands.press("2", "tab")
        await hands.until(lambda: "Since: Lapwing bearings cleaned today 09:40." in hands.text)
