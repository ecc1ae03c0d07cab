"""A number that waits, with keys only: it is said where it is typed and on every list, and q asks for the answer."""

import pytest

from pitbench.app.keys import KeyQueue  # noqa: F401  (the queue batches go through)
