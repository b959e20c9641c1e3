"""`python -m emberdraft` is the same as `emberdraft`."""

from __future__ import annotations

import sys

from emberdraft.cli import main

sys.exit(main())
