"""The motor model by keys: its place behind the motor page, the voltage, another motor over it, its plots."""

from pitbench.bootstrap import open_for_writing
from tests.unit.desk.test_link import season_file


def voltage(hands):
    return float(hands.text.split(" V: at work")[0].split()[-1])


async def test_a_voltage_by_one_key_and_another_motor_over_it(at_the_keys, tmp_path):
    async with at_the_keys(season_file(tmp_path / "logbook.json")) as hands:
        await hands.press("enter", "shift+tab")
        assert "by back-EMF" in hands.text and "at work" in hands.text and "no-load" in hands.text
        assert not any("…" in row for row in hands.rows)
        first, power = voltage(hands), hands.text.split("most power ")[1].split()[0]
        await hands.press("right", "right", "right")
        assert voltage(hands) == round(first + 0.3, 1) and hands.text.split("most power ")[1].split()[0] > power
        await hands.press("left", "left", "left", "left")
        assert voltage(hands) == round(first - 0.1, 1)
        beside = hands.rows[4].split(":")[0].strip()
        await hands.press("equals_sign")
        assert hands.rows[4].split(":")[0].strip() != beside and "Rankings say" in hands.text
        await hands.press("minus")
        assert "Rankings say" not in hands.text
        await hands.press("tab")
        assert "bench, and the runs" in hands.text
        await hands.press(*["shift+tab"] * 5)
        assert "bench, and the runs" in hands.text


async def test_plots_and_a_burst_of_keys(at_the_keys, tmp_path):
    async with at_the_keys(season_file(tmp_path / "logbook.json")) as hands:
        await hands.press("enter", "shift+tab", "v")
        assert "power at the shaft, W" in hands.text and "efficiency, %" in hands.text and "┊ at work" in hands.text
        await hands.press("v", "right", "equals_sign")
        assert "torque, mN·m" in hands.text and "power at the shaft" not in hands.text
        await hands.press("v", "v", "v", "v", "minus", "right", "right", "tab", "shift+tab")
        assert "current" in hands.text and "eff." in hands.text


async def test_table_and_plot_stand_together_where_there_is_room(at_the_keys, tmp_path):
    async with at_the_keys(season_file(tmp_path / "logbook.json"), (100, 40)) as hands:
        await hands.press("enter", "shift+tab")
        assert "eff." in hands.text and "power at the shaft, W" in hands.text
        await hands.press("v")
        assert "eff." in hands.text and "torque, mN·m" in hands.text


async def test_a_motor_without_resistance_says_what_is_missing(at_the_keys, two_motors):
    with open_for_writing(two_motors) as book:
        runs = [run.model_copy(update={"resistance_mohm": None}) for run in book.records("bench_run")]
        motors = [motor.model_copy(update={"resistance_mohm": None}) for motor in book.records("motor")]
        book.save("no resistance", [*runs, *motors])
    async with at_the_keys(two_motors) as hands:
        await hands.press("enter", "shift+tab")
        assert "without its winding resistance" in hands.text and "rpm free at" in hands.text
        await hands.press("v", "right", "equals_sign", "minus")
        assert "without its winding resistance" in hands.text
