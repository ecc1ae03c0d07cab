"""What tests take, as the team set it: asked by the ranking and by the parts."""

from pitbench.figures.next_test import Minutes
from pitbench.records.team import Team


def minutes_of(settings: Team) -> Minutes:
    """The user's minutes for what is tested next."""
    return Minutes(
        have=settings.test_minutes,
        run=settings.run_minutes,
        winding=settings.winding_minutes,
        clips=settings.clips_minutes,
        swap=settings.swap_minutes,
    )
