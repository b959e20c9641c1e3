"""`emberdraft bench`: controllers against simulated cookers."""

from __future__ import annotations

import argparse

from emberdraft.bench import run


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb: they live with the bench."""
    run.add_arguments(parser)


def main(args: argparse.Namespace) -> int:
    """Run it."""
    return run.main(args)
