"""Pictures of intervals, read as XML: everything lies in the frame in the order of its values, on a round scale."""

import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.race_day import event_meant, race_day
from pitbench.paper.document import Bar, Picture
from pitbench.paper.html import text_in_svg
from pitbench.paper.pictures import LEFT, RIGHT, WIDE, scale, svg
from pitbench.paper.race_day import document_of
from tests.unit.desk.race_days import RaceDays

POINTS = st.lists(st.floats(-1e4, 1e4), min_size=5, max_size=5).map(sorted)
NAMES = st.text(max_size=30)


@given(st.lists(st.tuples(NAMES, POINTS), min_size=1, max_size=6), st.one_of(st.none(), st.floats(-1e4, 1e4)))
def test_every_bar_lies_in_the_frame_in_the_order_of_its_points(bars, limit):
    picture = Picture("Title <b>", "°C", [Bar(name, points, "said") for name, points in bars], limit, "limit")
    root = ET.fromstring(svg(picture, text_in_svg))
    _, _, wide, high = map(float, root.attrib["viewBox"].split())
    circles = [(float(one.attrib["cx"]), float(one.attrib["cy"])) for one in root.iter("circle")]
    assert len(circles) == len(bars)
    assert all(LEFT - 0.1 <= x <= WIDE - RIGHT + 0.1 and 0 < y < high for x, y in circles) and wide == WIDE
    order = sorted(range(len(bars)), key=lambda nth: bars[nth][1][2])
    across = [circles[nth][0] for nth in order]
    assert across == sorted(across)
    assert {one.tag for one in root.iter()} == {"svg", "title", "text", "path", "circle"}


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=9))
def test_a_scale_holds_all_and_has_few_even_points(ends):
    points = scale(ends)
    step = points[1] - points[0]
    slack = 1e-6 * max(1.0, *map(abs, ends))
    assert points[0] <= min(ends) + slack and max(ends) <= points[-1] + slack
    assert 2 <= len(points) <= 8
    assert all(b - a == pytest.approx(step, rel=1e-6) for a, b in pairwise(points))


def test_paper_speaks_in_the_units_that_are_set():
    days = RaceDays("Whio", "Plover", "Siskin")
    for nth, name in enumerate(("Whio", "Plover", "Siskin")):
        days.race(
            name, f"2026-04-12T1{nth}:00", 13.7, ambient_c=20.0, finish_reading_c=70.0, finish_reading_after_s=60.0
        )
    settings = days.logbook.snapshot().settings().with_(temperature_unit="F", length_unit="in")
    days.logbook.save_settings("units", settings)
    snapshot = days.logbook.snapshot()
    document = document_of(race_day(snapshot, event_meant(snapshot, "Saltmouth")))
    (runs,) = [part for part in document.parts if part.title == "What was run"]
    row = dict(zip(runs.table.heads, runs.table.rows[0], strict=True))
    assert row["read °F"] == "158 at 60 s" and row["finish °F"].startswith("158 ±") and row["ambient °F"] == "68"
    assert row["rollout in"] == "1.695"  # pi · 62.5 mm ÷ (72 ÷ 30 · 1.9) ÷ 25.4
    (heat,) = [picture for picture in runs.pictures if picture.title == "Finish temperature"]
    assert heat.limit == 176.0 and heat.bars[0].points[2] == pytest.approx(158, abs=1)
