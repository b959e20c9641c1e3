"""What runs on the board."""

__version__ = "0.1.0"
