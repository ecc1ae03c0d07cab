"""What the lists and pages show: runs, motors, the setup log, gear sets."""
