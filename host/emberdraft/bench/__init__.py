"""Benches, baselines, and the adapter that puts the board's core behind them."""

from .board_controller import BoardController

__all__ = ["BoardController"]
