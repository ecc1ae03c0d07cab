"""The main job, from an empty logbook to a ranking, with keys only; and the same figures from a sheet."""

from pitbench.bootstrap import open_for_reading, open_for_writing
from pitbench.desk.answers import plain
from pitbench.desk.comparing.ranking import rank
from pitbench.desk.exchange.loading import load_files, read_files
from pitbench.records.reading import Day
from tests.flows.conftest import NOW

CONDITIONS = {"taken_at": "", "tester": "bench box", "test_voltage_v": "3.7", "poles_assumed": "2"}
RUNS = (
    ("Lapwing", "2026-05-17 13:00", ("3950", "4.1", "30", "42.1", "42.3", "41.9", "42.1", "2.1", "3.4")),
    ("Lapwing", "2026-05-17 13:05", ("3954", "4.12", "32", "42.1", "42.4", "41.9", "42.0", "2.2", "3.3")),
    ("Whio", "2026-05-17 13:10", ("3938", "4.0", "30", "42.0", "42.1", "41.8", "42.1", "1.8", "2.9")),
    ("Whio", "2026-05-17 13:15", ("3942", "4.02", "32", "42.0", "42.2", "41.8", "42.0", "1.9", "3.0")),
)
COLUMNS = (
    "motor,taken_at,tester,test_voltage_v,poles_assumed,sensored,spin_s,timing_mark_deg,ambient_c,kv_rpm_per_v,"
    "no_load_current_a,motor_temp_c,timing_deg,timing_a_deg,timing_b_deg,timing_c_deg,pole_imbalance_pct,"
    "hall_level_spread_pct,resistance_mohm,resistance_temp_c"
)
RESISTANCE = {"Lapwing": ("11.9", "21"), "Whio": ("12.0", "21")}


async def by_keys(at_the_keys, path):
    """Two motors and two runs each, typed by somebody who never saw pitbench before."""
    async with at_the_keys(path) as hands:
        assert "An empty logbook. Three steps to your first ranking" in hands.text
        await hands.press("m")
        await hands.enter("Lapwing", "club 13.5T", "13.5t", "2")
        await hands.press("f3")
        assert "New motor" in hands.text
        await hands.type("Whio")
        await hands.press("f2")
        assert "2 motors" in hands.text
        for motor, taken_at, figures in RUNS:
            await hands.press("b", "f6")
            for text in (motor, taken_at, "bench box", "", "3.7", "2", "20", "35", "21", "yes"):
                await hands.press("ctrl+u")
                await hands.enter(text)
            await hands.enter(*figures, *RESISTANCE[motor])
            await hands.press("enter")
            assert f"bench run of {motor}" in hands.text, hands.text
            await hands.press("escape")
        await hands.press("3")
        return hands.text


def by_sheet(folder):
    rows = [
        ",".join((motor, at, "bench box", "3.7", "2", "yes", "20", "35", "21", *figures, *RESISTANCE[motor]))
        for motor, at, figures in RUNS
    ]
    (folder / "bench.csv").write_text("\n".join([COLUMNS, *rows]) + "\n")
    motors = "motor,class,turns,poles\nLapwing,club 13.5T,13.5,2\nWhio,club 13.5T,,\n"
    (folder / "motors.csv").write_text(motors)
    path = folder / "loaded.json"
    with open_for_writing(path) as book:
        answer = load_files(book, read_files([folder / "bench.csv", folder / "motors.csv"], Day(NOW))).answer
    assert not answer.suspects and not any(file.problems for file in answer.files)
    return path


async def test_typed_and_loaded_give_the_same_ranking_and_it_is_not_settled(at_the_keys, empty, tmp_path):
    text = await by_keys(at_the_keys, empty)
    with open_for_reading(empty) as typed, open_for_reading(by_sheet(tmp_path)) as loaded:
        answers = [plain(rank(book.snapshot())) for book in (typed, loaded)]
    assert answers[0] == answers[1]
    assert answers[0]["verdict"] == "open"
    kv = {m["motor"]: m["figures"]["kv_rpm_per_v"]["mean"] for m in answers[0]["motors"]}
    # 12 rpm/V typed; Lapwing has 0.1° more timing, at 0.5 %/° worth 2 rpm/V: 10.0 at equal timing. The engine draws
    # motors together, so less than that; how much less has no value from outside, hence the wide lower end.
    assert 5 < kv["Lapwing"] - kv["Whio"] < 10.1
    assert "Best for the main: not settled." in text
