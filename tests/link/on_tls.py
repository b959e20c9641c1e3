"""Run by MicroPython: the board's own client at a broker inside TLS. Prints `up`, or why not.

Arguments: folder of the firmware, port, name that the certificate must have, user, password, seconds to wait.
"""

import sys
import time

sys.path.insert(0, sys.argv[1])
import gc

from emberboard.link.client import MqttClient
from emberboard.link.sockets import Opener

port, name, user, password, wait_s = int(sys.argv[2]), sys.argv[3], sys.argv[4], sys.argv[5], float(sys.argv[6])
client = MqttClient(
    Opener(name).open, "127.0.0.1", port, "tls-test", user, password, 10, None, (("emberdraft/1/test/ack", 0),)
)
gc.collect()
free = gc.mem_free()
begun_ms = time.ticks_ms()
longest_us = sent = 0
while time.ticks_diff(time.ticks_ms(), begun_ms) < wait_s * 1000 and sent < 200:
    before_us = time.ticks_us()
    client.poll(time.ticks_diff(time.ticks_ms(), begun_ms))
    longest_us = max(longest_us, time.ticks_diff(time.ticks_us(), before_us))
    if client.up:
        sent += client.publish("emberdraft/1/test/reading", b"x" * 500)
    elif client.trouble:
        break
    time.sleep_ms(1)
gc.collect()
print("up" if client.up else client.trouble)
print("longest_us", longest_us)
print("sent", sent)
print("heap", free - gc.mem_free())
