"""How a figure moved, in a line: its sessions as bars, the oldest left, and words."""

from datetime import datetime

from pitbench.app.widgets.paint import Line, fitted, line
from pitbench.app.widgets.scale import sparkline
from pitbench.desk.lists.motor_page import Trend
from pitbench.words.motors import trend_words


def trend_line(trend: Trend, minutes: float, now: datetime) -> Line:
    """minutes: on the track, between the first bar and the last."""
    told = trend_words(trend, minutes, now)
    return line("   ", (fitted(trend.label, 9), "quiet"), (sparkline(trend.values), "accent"), f"   {told}")
