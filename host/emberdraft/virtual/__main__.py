"""The process in which a board at a pace runs; started by VirtualBoard, not by hand."""

from __future__ import annotations

import sys

from emberdraft.virtual.remote import main

if __name__ == "__main__":
    main(int(sys.argv[1]))
