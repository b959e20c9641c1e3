"""Memory of each board's firmware in 32-bit words: built, linked, a minute on; and what one control step allocates.

    npm install --prefix FOLDER @micropython/micropython-webassembly-pyscript
    python -m tests.bench.memory FOLDER

The WebAssembly build of MicroPython has a board's word length (and floats of 64 bits in the same 16 bytes that a board
takes for 32). Everything else there is the plainest stand-in: no Wi-Fi, no TLS, no fragmentation.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from emberboard import settings
from emberdraft.deploy.build import CONVERTERS, build

HERE = Path(__file__).parent / "wasm"
PORT = "node_modules/@micropython/micropython-webassembly-pyscript/micropython.mjs"
PLATFORMS = {"rp2": "pico_w", "esp32": "esp32"}
WANTS = "node, and `npm install --prefix FOLDER @micropython/micropython-webassembly-pyscript`, and FOLDER as argument"


def port_in(folder: Path) -> Path | None:
    """The interpreter's file, if it and node are here."""
    port = folder / PORT
    return port.resolve() if port.exists() and shutil.which("node") else None


def measure(port: Path, platform: str, converter: str) -> dict[str, Any]:
    """Bytes by stage of one board's tree as `board deploy` makes it; `mpy` is the tree on flash."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        tree = build(folder, platform, converter, compiled=True)
        wires = (HERE / "wires.upy").read_text().replace('MAP = "pico_w"', f'MAP = "{PLATFORMS[platform]}"')
        (folder / "wires.py").write_text(wires)
        (folder / settings.NAME).write_text(json.dumps(_all_fitted()))
        command = ["node", str(HERE / "run.mjs"), str(port), str(folder), str(HERE / "board.upy")]
        done = subprocess.run(command, check=False, capture_output=True, text=True, timeout=120)
        if done.returncode:
            raise SystemExit(f"{platform} {converter}: {done.stderr.strip()[-400:]}")
        return {"mpy": tree.total_bytes(), **json.loads(done.stdout.strip().splitlines()[-1])}


def _all_fitted() -> dict[str, Any]:
    """Settings with every part that a board can have."""
    more = {"broker_host": "127.0.0.1", "wifi_ssid": "garden", "damper": True, "food_probes": 3, "tach": True}
    return {**settings.defaults(), **more}


def rows(port: Path) -> list[tuple[str, str, dict[str, Any]]]:
    """Each platform with each converter."""
    return [(platform, chip, measure(port, platform, chip)) for platform in PLATFORMS for chip in CONVERTERS]


def main() -> int:
    """Print a table, or what is missing."""
    port = port_in(Path(sys.argv[1] if len(sys.argv) > 1 else "."))
    if port is None:
        print(f"no MicroPython for WebAssembly here; it needs {WANTS}")
        return 1
    print("board  converter   .mpy tree   heap, linked   allocated a step   (bytes)")
    for platform, chip, found in rows(port):
        told = (found["mpy"], found["linked, a minute on"], found["bytes a tick"])
        print(f"{platform:<6} {chip:<10} {told[0]:>10} {told[1]:>14} {told[2]:>18}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
