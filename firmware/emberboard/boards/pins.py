"""Which pin map belongs to which board."""


def pin_map(platform):
    """The pin map for a value of `sys.platform`; a board that nobody has described is an error."""
    if platform == "rp2":
        from . import pico_w as pins
    elif platform == "esp32":
        from . import esp32 as pins
    elif platform in ("linux", "darwin"):
        from . import virtual as pins
    else:
        raise RuntimeError("no pin map for '%s': add one beside boards/pico_w.py" % platform)
    return pins
