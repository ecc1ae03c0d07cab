"""What is planned for the next run: the start the keys have set, which never lies in the past."""

from datetime import datetime

from pitbench.app.plans import Plans
from pitbench.records.models import Event
from pitbench.store.logbook import Logbook

NOW, LATER = datetime(2026, 5, 17, 13, 0), datetime(2026, 5, 17, 13, 6)


def test_the_next_start_is_moved_by_keys_never_to_now_or_before():
    plans = Plans()
    with Logbook.in_memory() as book:
        snapshot = book.snapshot()
        assert plans.start(snapshot, NOW).at == datetime(2026, 5, 17, 14, 0)  # nobody wrote one down: in an hour
        for minutes, start in ((-55, (13, 5)), (-5, (13, 5)), (-60, (13, 5)), (5, (13, 10)), (-5, (13, 5))):
            plans.move_start(snapshot, NOW, minutes)
            moved = plans.start(snapshot, NOW)
            assert (moved.at, moved.told) == (datetime(2026, 5, 17, *start), True)
        assert plans.start(snapshot, LATER).at == datetime(2026, 5, 17, 14, 10), "once it has passed, the next one"


def test_start_times_written_anew_are_taken_over_also_after_keys_moved_the_start():
    plans = Plans()
    with Logbook.in_memory() as book:
        event = Event(name="Saltmouth", date="2026-05-17", start_times="main 14:30")
        book.save("an event", [event])
        assert plans.start(book.snapshot(), NOW).round == "main"
        plans.move_start(book.snapshot(), NOW, 5)
        assert plans.start(book.snapshot(), NOW).at == datetime(2026, 5, 17, 14, 35)
        book.save("a note", [event.model_copy(update={"note": "dry"})])
        assert plans.start(book.snapshot(), NOW).at == datetime(2026, 5, 17, 14, 35), "moved still"
        book.save("delayed", [event.model_copy(update={"start_times": "qualifier 3 14:10, main 15:00"})])
        start = plans.start(book.snapshot(), NOW)
        assert (start.round, start.at) == ("qualifier 3", datetime(2026, 5, 17, 14, 10))
