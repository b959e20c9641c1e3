"""A socket whose other end is on the bench: the network of a lock-step run."""

import vb_bus
from vb_ops import NET_CLOSE, NET_OPEN, NET_SEND

MOST = 1024  # bytes in one operation
CLOSED = 0xFFFFFF  # tunnel.py
ECONNRESET = 104


class socket:
    """Just what a non-blocking client needs. There is one connection at a time."""

    def __init__(self, *_kind):
        pass

    def setblocking(self, flag):
        pass

    def setsockopt(self, *_option):
        pass

    def connect(self, address):
        vb_bus.say(NET_OPEN)

    def close(self):
        vb_bus.say(NET_CLOSE)

    def write(self, data):
        if vb_bus.waiting == CLOSED:
            raise OSError(ECONNRESET)
        count = min(len(data), MOST)
        vb_bus.say_bytes(NET_SEND, 0, data[:count])
        return count

    def readinto(self, buf):
        if vb_bus.waiting == CLOSED:
            raise OSError(ECONNRESET)
        count = min(len(buf), vb_bus.waiting, MOST)
        if not count:
            return None
        buf[:count] = vb_bus.ask_network(count)
        return count


def getaddrinfo(host, port, *_more):
    return [(2, 1, 0, "", (host, port))]


AF_INET = 2
SOCK_STREAM = 1
