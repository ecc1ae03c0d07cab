"""Between the answer to a refused logbook and its list: keys wait, and none stumbles over a logbook not yet there."""

from threading import Event

from pitbench.app.app import PitbenchApp
from pitbench.app.screens.bench_form import BenchForm
from pitbench.bootstrap import open_for_app
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
