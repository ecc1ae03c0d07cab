"""Load logs: what the log of a speed control came to, kept with its motor and its run."""
