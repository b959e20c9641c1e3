"""Emberdraft's host: daemon, store, page and command line for a charcoal cooker's board."""

__version__ = "0.1.0"
