"""Sheets in and out, and two logbooks made one."""
