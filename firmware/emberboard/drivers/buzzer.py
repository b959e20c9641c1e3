"""Buzzer and light: what a person beside the cooker hears and sees without the host."""

# Sound: how often it begins again, and when within that it is on, ms.
PATTERNS = {
    "": (1000, ()),
    "pull": (3000, ((0, 200), (400, 600))),
    "alarm": (1000, ((0, 600),)),
}


def sounding(sound, now_ms):
    """True while `sound` is in one of its bursts at `now_ms`."""
    every_ms, bursts = PATTERNS[sound]
    into_ms = now_ms % every_ms
    for begin_ms, end_ms in bursts:
        if begin_ms <= into_ms < end_ms:
            return True
    return False


class Signal:
    """A buzzer pin and a light pin, driven high to sound and shine."""

    def __init__(self, buzzer, light):
        self._buzzer = buzzer
        self._light = light
        self.sound = ""
        self.light = False
        self._buzzer.value(0)
        self._light.value(0)

    def step(self, now_ms):
        """Bring both pins to where they should be at `now_ms`; cheap, called often."""
        self._buzzer.value(1 if sounding(self.sound, now_ms) else 0)
        self._light.value(1 if self.light else 0)
