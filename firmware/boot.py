"""The first thing a board runs: outputs safe before anything else."""

from emberboard.boards.safe import make_safe

make_safe()
