"""Bytes that wait for the network: one buffer, made once, written from one end."""

from emberboard.link import packets


class Outbox:
    """A queue of packets as bytes; what does not fit is not taken."""

    def __init__(self, capacity):
        self._buf = bytearray(capacity)
        self._view = memoryview(self._buf)
        self._start = self._end = 0

    def clear(self):
        self._start = self._end = 0

    def waiting(self):
        """The bytes to be written next, all in one piece."""
        return self._view[self._start : self._end]

    def empty(self):
        return self._start == self._end

    def sent(self, count):
        """`count` of the waiting bytes were taken by the network."""
        self._start += count
        if self._start == self._end:
            self.clear()

    def takes(self, size):
        """True while there is room for `size` bytes more."""
        return self._end - self._start + size <= len(self._buf)

    def put(self, packet):
        """Queue a packet; False if there is no room."""
        if not self._make_room(len(packet)):
            return False
        self._buf[self._end : self._end + len(packet)] = packet
        self._end += len(packet)
        return True

    def put_publish(self, topic, payload, qos, retain, pid):
        """Queue a PUBLISH without making it elsewhere first; gives its bytes or None."""
        if not self._make_room(packets.publish_size(topic, payload, qos)):
            return None
        start = self._end
        self._end = packets.put_publish(self._buf, start, topic, payload, qos, retain, False, pid)
        return self._view[start : self._end]

    def _make_room(self, size):
        if not self.takes(size):
            return False
        waiting = self._end - self._start
        if self._end + size > len(self._buf):
            self._buf[:waiting] = self._buf[self._start : self._end]
            self._start, self._end = 0, waiting
        return True
