"""The id of a record, known without pydantic: a form chooses it when it begins, before any model is loaded."""

import secrets


def new_id() -> str:
    """Random text, so that two laptops never give the same id."""
    return secrets.token_hex(8)
