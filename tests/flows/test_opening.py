"""Between the answer to a refused logbook and its list: keys wait, and none stumbles over a logbook not yet there."""

from threading import Event

from pitbench.app.app import PitbenchApp
from pitbench.app.forms.bench_form import BenchForm
from pitbench.bootstrap import open_for_app
from pitbench.store.logbook import Logbook
from tests.flows.conftest import NOW


async def test_keys_pressed_while_an_accepted_logbook_is_being_opened_wait_for_it(two_motors):
    raw = two_motors.read_bytes()
    two_motors.write_bytes(raw.replace(b'"test_voltage_v":3.7', b'"test_voltage_v":3.8', 1))
    go = Event()

    def opened(accept_hand_edit):
        assert not accept_hand_edit or go.wait(60)
        return open_for_app(two_motors, accept_hand_edit)

    app = PitbenchApp(open_logbook=opened, path=str(two_motors), clock=lambda: NOW)
    async with app.run_test(size=(80, 24)) as pilot:
        for _ in range(3000):
            await pilot.pause(0.02)
            if type(app.screen).__name__ == "Refused":
                break
        await pilot.press("y", "b")
        assert app.logbook is None and not isinstance(app.screen, BenchForm)
        go.set()
        for _ in range(3000):
            await pilot.pause(0.02)
            if isinstance(app.screen, BenchForm):
                break
        assert isinstance(app.screen, BenchForm)
        await pilot.pause()  # until its fields stand too


async def test_what_an_open_app_holds_can_be_written_beside_a_file_that_was_damaged(at_the_keys, two_motors):
    """No backup stands there; what is in memory is all there is of the runs."""
    async with at_the_keys(two_motors) as hands:
        await hands.press("2")
        rows, held = hands.rows, hands.book.snapshot().whole()
        for beside in two_motors.parent.glob("*.bak-*"):
            beside.unlink()
        two_motors.write_bytes(b"{ scribble")
        await hands.press("d")
        assert "in this window alone" in hands.text and "w writes what pitbench holds" in hands.text
        await hands.press("w")
        assert "What was saved is in" in hands.text
        assert hands.rows[1:18] == rows[1:18], "the list stands as before"
        await hands.press("b")
        await hands.press("f5")
        await hands.enter("3941 4,05")
        await hands.press("f2")
        assert "w writes what pitbench holds" in hands.text, "from a form too"
        await hands.press("escape")
    assert two_motors.read_bytes() == b"{ scribble"
    (beside,) = two_motors.parent.glob("logbook.json.rescued-20260517T140200.json")
    assert beside.stat().st_mode & 0o777 == 0o600
    with Logbook.open(beside) as again:
        assert again.snapshot().whole() == held
        assert again.journal.undo() == "two motors"
