"""Stands in for the board's `network`: a Wi-Fi that is there two seconds after it is asked for."""

import vb_bus

STA_IF = 0
JOIN_US = 2000000


class WLAN:
    def __init__(self, interface=STA_IF):
        self._joined_us = None

    def active(self, on=None):
        return True

    def config(self, **options):
        pass

    def connect(self, ssid, key=None):
        self._joined_us = vb_bus.now_us + JOIN_US

    def isconnected(self):
        return self._joined_us is not None and vb_bus.now_us >= self._joined_us

    def status(self, what=None):
        return -50 if what else 0
