"""Finish temperatures: what was read, what is to be expected, how motors cool, the card for the main."""
