"""A number that is held against nothing but what is usual, or what others of its kind were: a block of its own."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from math import log
from typing import ClassVar

from pitbench.figures.foreseen import Normal
from pitbench.records.fields import QUANTITIES

OF_RANGE = 6.0
"""Standard deviations in a likely range. Ours."""


@dataclass(frozen=True)
class Alone:
    """One number, see `bench_blocks.Block`. `should`: where it should lie on its scale, 100·ln where `relative`;
    without one, anywhere in its likely range."""

    name: str
    value: float
    should: Normal | None = None

    @property
    def columns(self) -> tuple[str, ...]:
        """The one column."""
        return (self.name,)

    @property
    def logs(self) -> frozenset[str]:
        """Numbers that cannot be 0 or less are held against one another by ratio, but for degrees."""
        quantity = QUANTITIES[self.name]
        by_ratio = quantity.likely[0] > 0 and self.value > 0 and quantity.unit not in ("°C", "°")
        return frozenset((self.name,)) if by_ratio else frozenset()

    near: ClassVar[bool] = False
    used: ClassVar[Mapping[str, Collection[float]]] = {}

    @property
    def residuals(self) -> list[float]:
        """Typed − foreseen."""
        return [self.scale(self.name, self.value) - self._should().mean]

    @property
    def covariance(self) -> list[list[float]]:
        """Its variance."""
        return [[self._should().var]]

    def _should(self) -> Normal:
        if self.should is not None:
            return self.should
        low, high = (self.scale(self.name, end) for end in QUANTITIES[self.name].likely)
        return Normal((low + high) / 2, ((high - low) / OF_RANGE) ** 2)

    def scale(self, name: str, value: float) -> float:
        """A number brought to the scale it is judged on."""
        return 100 * log(value) if self.logs else value

    def width(self, column: str) -> float:
        """Length of the scale over which the number may lie anywhere."""
        low, high = (self.scale(column, end) for end in QUANTITIES[column].likely)
        return high - low

    def swaps(self) -> list[tuple[str, str]]:
        """None."""
        return []
