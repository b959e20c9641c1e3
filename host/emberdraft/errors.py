"""Errors that a person can cause and can mend."""

from __future__ import annotations


class UserError(Exception):
    """One clear line: what is wrong, which value, what would be right. The CLI prints it and exits 1."""
