"""Parts: what each is worth, swaps, and the page of one."""
