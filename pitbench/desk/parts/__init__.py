"""Parts: what goes where by a swap, where each has been, what it is worth, and which swap to try next."""
