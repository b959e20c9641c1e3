"""Run by MicroPython: the board's whole link at a peer that misbehaves; prints the longest step in us.

Arguments: folder of the firmware, port, real seconds. Board time runs forty times as fast, so that every deadline of
the link (10 s) passes many times. The collector runs as on the board (emberboard/wiring.py), inside the steps.

A step's time is all that passes in it, computing or waiting for something, but for what other programs of this
computer took while it could have gone on: Linux counts that in /proc/self/schedstat (second number, ns).
"""

import gc
import sys
import time

sys.path.insert(0, sys.argv[1])

from emberboard.link.client import MqttClient
from emberboard.link.session import LinkSession, subscriptions
from emberboard.link.sockets import Opener
from emberboard.link.spool import Spool

SPEED = 40
gc.threshold(8192)


def pushed_aside_us():
    """How long this process has waited for a processor so far."""
    try:
        with open("/proc/self/schedstat") as file:
            return int(file.read().split()[1]) // 1000
    except OSError:  # no Linux: then all of it counts
        return 0


class Controller:
    """What a session asks of the controller."""

    def __init__(self):
        self.alerts = {}

    def order(self, name, args, now_ms):
        return "", ""

    def tuning(self):
        return {"kp": 0.01}


port, wait_s = int(sys.argv[2]), float(sys.argv[3])
spool = Spool(600, "aa11bb22")
client = MqttClient(Opener().open, "127.0.0.1", port, "peers", "test", "word", 10, None, subscriptions("test"))
session = LinkSession(
    client, spool, Controller(), "test", "aa11bb22", {"firmware": "test", "sensors": {}, "limits": {}}
)
begun_ms, made, longest_us, polls = time.ticks_ms(), 0, 0, 0
while time.ticks_diff(time.ticks_ms(), begun_ms) < wait_s * 1000:
    now_ms = time.ticks_diff(time.ticks_ms(), begun_ms) * SPEED
    while made * 250 <= now_ms:  # four records a second: a peer that never reads has its buffers filled
        spool.add_event(made * 250, "lid_open", 1.0, None, "twenty-seven letters of text")
        made += 1
    aside_us, before_us = pushed_aside_us(), time.ticks_us()
    session.poll(now_ms)
    took_us = time.ticks_diff(time.ticks_us(), before_us)
    longest_us = max(longest_us, took_us - (pushed_aside_us() - aside_us))
    polls += 1
    time.sleep_ms(1)
print("longest_us", longest_us)
print("polls", polls)
print("tries", client._tries + client.epoch)
