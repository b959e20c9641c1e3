"""The first thing a board runs: outputs safe before anything else."""

import gc

from emberboard.boards.safe import make_safe

make_safe()
gc.threshold(8192)  # while the code is loaded: a heap that fills first is a heap in pieces
