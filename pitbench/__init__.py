"""pitbench: which spec-class motor to run in the main, and how sure that is."""

__version__ = "0.1.0"
