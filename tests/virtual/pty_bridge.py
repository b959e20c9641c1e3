"""A serial port that leads to an interpreter: mpremote at one pseudo-terminal, MicroPython at another."""

from __future__ import annotations

import os
import pty
import select
import subprocess
import threading
import tty


class PtyBridge:
    """`port` is the device name to give to mpremote; the interpreter runs in `folder`."""

    def __init__(self, command: list[str], folder: str) -> None:
        self._board, board_end = pty.openpty()
        self._host, self._host_end = pty.openpty()
        for end in (board_end, self._host_end):
            tty.setraw(end)
        self.port = os.ttyname(self._host_end)
        self._process = subprocess.Popen(command, cwd=folder, stdin=board_end, stdout=board_end, stderr=board_end)
        os.close(board_end)
        self._running = True
        self._pump = threading.Thread(target=self._carry, daemon=True)
        self._pump.start()

    def _carry(self) -> None:
        ways = {self._board: self._host, self._host: self._board}
        while self._running:
            ready, _, _ = select.select(list(ways), [], [], 0.05)
            for end in ready:
                try:
                    os.write(ways[end], os.read(end, 4096))
                except OSError:
                    return

    def close(self) -> None:
        """End the interpreter and give the terminals back."""
        self._running = False
        self._process.kill()
        self._process.wait()
        self._pump.join(2.0)
        for end in (self._board, self._host, self._host_end):
            os.close(end)
