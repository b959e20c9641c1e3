"""Which pin map belongs to which board."""

MAPS = {"rp2": "pico_w", "esp32": "esp32", "linux": "virtual", "darwin": "virtual"}


def pin_map(platform):
    """The pin map for a value of `sys.platform`; a board that nobody has described is an error."""
    if platform not in MAPS:
        raise RuntimeError("no pin map for '%s': add one beside boards/pico_w.py" % platform)
    name = MAPS[platform]
    return getattr(__import__("emberboard.boards." + name).boards, name)
