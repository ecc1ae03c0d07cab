"""What of a ranking fits its screen: bars and the plot under the table, side by side where both do, else by turns."""

from dataclasses import dataclass

from pitbench.desk.answers import RankAnswer
from pitbench.words.ranking import weighed

BOTH_FROM, LEAST_BARS, LEAST_PLOT = 100, 57, 12
"""Columns of a window with room for both plots, columns that bars need then, and lines that a plot needs."""
AROUND = 9
"""Lines round words, table and bars."""


@dataclass(frozen=True)
class Room:
    """On a screen of this size, under so many lines of words."""

    answer: RankAnswer
    width: int
    height: int
    words: int

    @property
    def _left(self) -> int:
        """Lines under the table, what bars need round them taken off."""
        return self.height - AROUND - self.words - len(self.answer.motors) - len(self.answer.not_ranked)

    @property
    def bars_fit(self) -> bool:
        return self._left >= len(self.answer.motors)

    @property
    def both_fit(self) -> bool:
        count = len(self.answer.motors)
        return self.width >= BOTH_FROM and count > 1 and self._left >= max(LEAST_PLOT, count)

    @property
    def bars_width(self) -> int:
        """Columns of the bars: half of the window where the plot stands beside them."""
        return max(LEAST_BARS, self.width // 2) if self.both_fit else self.width

    def views(self) -> list[str]:
        """What `v` steps through: bars and the plot only where they do not fit under the table, the order by weight
        only where a figure has any."""
        if len(self.answer.motors) < 2:
            return ["table"]
        rest = ["bars"] * (not self.bars_fit) + ["plot"] * (not self.both_fit)
        rest += ["weights"] * weighed(self.answer)
        return ["table", *rest]

    def shown(self, wanted: str) -> str:
        """The view that is wanted, if it is one."""
        return wanted if wanted in self.views() else "table"

    def beside(self, wanted: str) -> bool:
        """Whether the plot stands beside the bars."""
        return self.shown(wanted) == "table" and self.both_fit
