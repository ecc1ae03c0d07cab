"""Temperature by keys: where motors stand, a plan that follows single keys, the plot, and what is not known."""

import re

import pytest

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import Car, ClassSheet, Cooling, Event, Gear, Settings, TrackRun

GEARED = {"pinion": 30, "spur": 72, "internal_ratio": 2.4, "tyre_diameter_mm": 62.5, "timing_mark_deg": 35}


@pytest.fixture
def between_rounds(two_motors):
    """Lapwing came in eleven minutes ago, Whio drove yesterday; the main starts at 14:30."""
    with open_for_writing(two_motors) as book:
        ids = {row["name"]: row["id"] for row in book.rows("motor")}
        builds = {row["motor_id"]: row["id"] for row in book.rows("build")}
        car = Car(name="No. 4")
        event = Event(name="Saltmouth", date="2026-05-16", start_times="qualifier 2 13:45, main 14:30")

        def run(name, at, hot):
            return TrackRun(
                **GEARED, motor_id=ids[name], build_id=builds[ids[name]], car_id=car.id, event_id=event.id,
                started_at=at, round_kind="qualifier", round="2", run_time_s=300, ambient_c=24,
                finish_reading_c=hot, finish_reading_after_s=60,
            )  # fmt: skip

        yesterday = [run("Whio", f"2026-05-16T1{nth}:00", 66 + nth % 2) for nth in range(4)]
        today = [run("Lapwing", f"2026-05-17T{at}", hot) for at, hot in (("11:00", 69), ("12:10", 70), ("13:46", 71))]
        cooling = Cooling(track_run_id=today[-1].id, after_s=480, temp_c=44)
        gears = [Gear(kind="pinion", teeth=teeth, module=0.5) for teeth in (29, 30, 31, 32)]
        book.save("a day", [car, event, *yesterday, *today, cooling, *gears, Gear(kind="spur", teeth=72, module=0.5)])
    return two_motors


def planned(hands):
    """Pinion, spur, length, ambient as the plan shows them."""
    row = hands.rows[next(i for i, row in enumerate(hands.rows) if "PLAN for" in row) + 1]
    return row.split()[:4]


def comes_in(hands):
    return int(re.search(r"come in at (\d+)", hands.text).group(1))


async def test_the_answer_stands_on_top_and_follows_single_keys(at_the_keys, between_rounds):
    async with at_the_keys(between_rounds) as hands:
        await hands.press("5")
        assert "Main at 14:30: Lapwing will be cool by 14:" in hands.text
        assert re.search(r"qualifier 2 13:51 71 ±[12] °C", hands.text) and "Whio not today" in hands.text
        assert planned(hands) == ["30", "72", "5:00", "24"]
        cool = comes_in(hands)
        await hands.press("p")
        assert planned(hands)[0] == "31" and comes_in(hands) > cool
        assert "On 31 teeth" in hands.text and "On 32 teeth" in hands.text
        await hands.press("P", "P", "P")
        assert planned(hands)[0] == "28" and comes_in(hands) < cool
        await hands.press("s", "l", "O", "K")
        assert planned(hands) == ["28", "73", "5:30", "23"]
        assert "34°" in hands.text
        await hands.press("n")
        assert "Main at 14:35" in hands.text
        await hands.press("N", "N")
        assert "Main at 14:25" in hands.text


async def test_another_motor_has_its_own_plan(at_the_keys, between_rounds):
    async with at_the_keys(between_rounds) as hands:
        await hands.press("5", "p", "down")
        assert "PLAN for Whio" in hands.text and planned(hands)[0] == "30" and "Whio is cool" in hands.text
        await hands.press("up")
        assert "PLAN for Lapwing" in hands.text and planned(hands)[0] == "31"


async def test_tab_shows_the_plot_and_back(at_the_keys, between_rounds):
    async with at_the_keys(between_rounds) as hands:
        await hands.press("5", "tab")
        assert "planned run, °C" in hands.text and "since the finish, min" in hands.text and "●" in hands.text
        await hands.press("p")
        assert "On 31 teeth" in hands.text
        await hands.press("tab")
        assert "PLAN for Lapwing" in hands.text


async def test_what_the_class_does_not_allow_is_marked_at_80_columns(at_the_keys, between_rounds):
    with open_for_writing(between_rounds) as book:
        book.save("limit", [ClassSheet.of(row).with_(max_rollout_mm=34.5) for row in book.rows("class_sheet")])
    async with at_the_keys(between_rounds) as hands:
        await hands.press("5")
        assert "! before a pinion: not legal by the class sheet, rollout too long." in hands.text
        pinions = [row[3:9].strip() for row in hands.rows if row.count(" to ") == 2]
        assert pinions == ["29", "30", "! 31", "! 32"]
        assert all(len(row.rstrip()) < 80 for row in hands.rows if " in 100" in row)


async def test_in_fahrenheit_and_inches(at_the_keys, between_rounds):
    with open_for_writing(between_rounds) as book:
        book.save_settings("units", Settings(temperature_unit="F", length_unit="in"))
    async with at_the_keys(between_rounds) as hands:
        await hands.press("5")
        assert planned(hands)[3] == "75" and "176 °F" in hands.text and " in " in hands.text
        assert 145 < comes_in(hands) < 175


async def test_a_limit_no_warmer_than_the_air_is_said(at_the_keys, between_rounds):
    with open_for_writing(between_rounds) as book:
        book.save_settings("limit", Settings(ceiling_c=30.0))
    async with at_the_keys(between_rounds) as hands:
        await hands.press("5", *"oooooo")
        assert "Your temperature limit, 30 °C, is not above the ambient, 30 °C" in hands.text
        await hands.press("O")
        assert "come in at" in hands.text


async def test_without_a_track_run_it_says_what_to_do(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("5")
        assert "No track run yet: t writes one down" in hands.text and "A hot can burns" in hands.text
        await hands.press("p", "n", "tab", "down")
        assert "No track run yet" in hands.text


async def test_what_a_plan_lacks_is_named(at_the_keys, between_rounds):
    with open_for_writing(between_rounds) as book:
        runs = [{k: v for k, v in run.items() if k not in ("ambient_c", "spur")} for run in book.rows("track_run")]
        book.save("left open", [TrackRun.of(run) for run in runs])
    async with at_the_keys(between_rounds) as hands:
        await hands.press("5")
        assert "No plan for Lapwing: its track runs do not tell the spur and the ambient." in hands.text


async def test_a_reading_in_the_first_seconds_asks_for_another_one_at_a_minute(at_the_keys, between_rounds):
    async with at_the_keys(between_rounds) as hands:
        await hands.press("t")
        await hands.enter("", "", "", "", "")
        await hands.type("66")
        await hands.press("f2")
        assert "Read 0 s after the finish, the can still warms: r reads it again at one minute." in hands.text
        assert "u takes it back" in hands.text
        await hands.press("u", "t")
        await hands.enter("just finished", "", "", "", "", "66", "10")
        await hands.press("f2")
        assert "the can still warms" not in hands.text
        await hands.press("t")
        await hands.enter("09:00", "", "", "", "", "66", "")
        await hands.press("f2")
        assert "How long after the finish was it read? Until e says so, as long as your others." in hands.text


async def test_a_run_without_an_ambient_is_never_called_cool(at_the_keys, between_rounds):
    """It is not known when it is cool; the plan goes on in the air of the run before."""
    with open_for_writing(between_rounds) as book:
        today = [run for run in book.records("track_run") if str(run.started_at).startswith("2026-05-17")]
        book.save("no ambient", [run.model_copy(update={"ambient_c": None}) for run in today])
    async with at_the_keys(between_rounds) as hands:
        await hands.press("5")
        assert "Lapwing was run without an ambient, so when it is cool is not known." in hands.text
        assert "Lapwing is cool" not in hands.text and "no ambient" in hands.text


async def test_the_hot_can_is_warned_of_whatever_else_is_to_be_said(at_the_keys, between_rounds):
    """At 24 rows: something has changed, and no reading says when it was taken."""
    with open_for_writing(between_rounds) as book:
        runs = [run.model_copy(update={"finish_reading_after_s": None}) for run in book.records("track_run")]
        last = max(runs, key=lambda run: str(run.started_at))
        hot = last.model_copy(update={"id": "hot", "started_at": "2026-05-17T13:55", "finish_reading_c": 99})
        book.save("untold", [*runs, hot])
    async with at_the_keys(between_rounds) as hands:
        await hands.press("5")
        assert "Most readings do not say when: write down the seconds after the finish." in hands.text
        assert "Something has changed: Lapwing's qualifier 2 came in well off" in hands.text
        assert " hot " in hands.text and "A hot can burns at a touch." in hands.text


@pytest.mark.parametrize("plotted", [False, True])
async def test_without_any_run_left_no_plan_stands_either(at_the_keys, between_rounds, plotted):
    async with at_the_keys(between_rounds) as hands:
        await hands.press("5", *["tab"] * plotted)
        assert ("planned finish" if plotted else "PLAN for Lapwing") in hands.text
        hands.book.journal.bin("all", [("track_run", row["id"]) for row in hands.book.rows("track_run")])
        await hands.settle()
        assert "No track run yet" in hands.text
        assert not any(words in hands.text for words in ("PLAN", "comes in at", "planned", "Lapwing"))


async def test_a_motor_without_a_plan_is_not_plotted_nor_is_the_next_one_unasked(at_the_keys, between_rounds):
    async with at_the_keys(between_rounds) as hands:
        ids = {row["name"]: row["id"] for row in hands.book.rows("motor")}
        newest = max((row for row in hands.book.rows("track_run") if row["motor_id"] == ids["Whio"]), key=str)
        hands.book.save("no gears", [TrackRun(**{**newest, "pinion": None})])
        await hands.press("5", "down", "tab")
        assert "No plan for Whio" in hands.text and "▸ Whio" in hands.text and "Tab plot" in hands.text
        await hands.press("up")
        assert "PLAN for Lapwing" in hands.text
        await hands.press("tab")
        assert "planned finish" in hands.text and "Tab table" in hands.text
