"""Which motor for the main: from plain rows to columns, the engine, and the answer."""
