"""One check for every published value; `pytest tests/reference -rP` prints them all with their residuals."""

import numpy as np
import pytest

ROWS = pytest.StashKey[list[tuple[str, str, float, float, float]]]()


@pytest.fixture
def published(request):
    """check(quantity, got, expected, within): numbers or arrays of one shape, `within` absolute, or relative=..."""
    rows = request.config.stash.setdefault(ROWS, [])
    item = request.node.name.removeprefix("test_")

    def check(quantity, got, expected, within=None, *, relative=None):
        found, printed = (np.array(each, dtype=float).ravel() for each in (got, expected))
        assert np.shape(got) == np.shape(expected), quantity
        allowed = np.full(printed.shape, within) if relative is None else relative * np.abs(printed)
        worst = int(np.argmax(np.abs(found - printed) / allowed))
        rows.append((item, quantity, printed[worst], found[worst], allowed[worst]))
        assert np.all(np.abs(found - printed) <= allowed), f"{quantity}: {got} where {expected} is published"

    return check


def pytest_terminal_summary(terminalreporter):
    rows = terminalreporter.config.stash.get(ROWS, [])
    if not rows or "P" not in terminalreporter.reportchars:
        return
    terminalreporter.section("published values")
    columns = "published", "got", "residual", "tolerance"
    terminalreporter.write_line(f"{'check':<44} {'quantity':<34} " + " ".join(f"{name:>15}" for name in columns))
    for item, quantity, printed, got, allowed in rows:
        numbers = f"{printed:>15.9g} {got:>15.9g} {got - printed:>15.2g} {allowed:>15.2g}"
        terminalreporter.write_line(f"{item:<44} {quantity:<34} {numbers}")
