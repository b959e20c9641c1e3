"""The board's wireless network: asked for, looked at now and then, never waited for."""

import network

LOOK_MS = 1000
AGAIN_MS = 30000  # no connection for so long: ask again


class Radio:
    """Joins `ssid`; without one there is no network and the board works alone."""

    def __init__(self, ssid, key):
        self._ssid = ssid
        self._key = key
        self._wlan = None
        self._ready = False
        self._looked_ms = None
        self._asked_ms = None

    def ready(self, now_ms):
        """True while the network is there; asks for it when it has been away for long."""
        if not self._ssid:
            return False
        if self._looked_ms is None or now_ms - self._looked_ms >= LOOK_MS:
            self._looked_ms = now_ms
            self._look(now_ms)
        return self._ready

    def _look(self, now_ms):
        if self._wlan is None:
            self._wlan = network.WLAN(network.STA_IF)
            self._wlan.active(True)
        self._ready = self._wlan.isconnected()
        if self._ready:
            self._asked_ms = now_ms
        elif self._asked_ms is None or now_ms - self._asked_ms >= AGAIN_MS:
            self._asked_ms = now_ms
            self._wlan.connect(self._ssid, self._key or None)
