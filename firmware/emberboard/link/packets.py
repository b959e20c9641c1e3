"""MQTT 3.1.1 packets as bytes, both ways: no socket, no clock, no state but the decoder's buffer.

Layout: OASIS MQTT Version 3.1.1 (29 October 2014), sections 2 and 3. Only what a link of
quality 0 and 1 needs; quality 2 and UNSUBSCRIBE are left out.
"""

CONNECT = 1
CONNACK = 2
PUBLISH = 3
PUBACK = 4
SUBSCRIBE = 8
SUBACK = 9
PINGREQ = 12
PINGRESP = 13
DISCONNECT = 14

MAX_LENGTH = 268435455  # four length bytes of seven bits each (3.1.1, table 2.4)
REFUSED = 0x80  # a SUBACK code: this subscription was not granted

PING = b"\xc0\x00"
PONG = b"\xd0\x00"
BYE = b"\xe0\x00"


class PacketError(Exception):
    """The bytes are not MQTT 3.1.1: the connection cannot be trusted any more."""


# ---- writing -------------------------------------------------------------------------------


def length_size(length):
    """How many bytes the remaining length itself takes: 1 to 4."""
    if not 0 <= length <= MAX_LENGTH:
        raise PacketError("remaining length %d: at most %d" % (length, MAX_LENGTH))
    size = 1
    while length > 127:
        length >>= 7
        size += 1
    return size


def put_length(buf, pos, length):
    """Write a remaining length at `pos`; gives the position after it."""
    while length > 127:
        buf[pos] = (length & 127) | 128
        length >>= 7
        pos += 1
    buf[pos] = length
    return pos + 1


def _packet(first, body):
    """A whole packet from its first byte and its body."""
    size = 1 + length_size(len(body))
    out = bytearray(size + len(body))
    out[0] = first
    put_length(out, 1, len(body))
    out[size:] = body
    return out


def _field(data):
    """A string or bytes with its two length bytes in front (3.1.1, 1.5.3)."""
    raw = data.encode() if isinstance(data, str) else bytes(data)
    if len(raw) > 65535:
        raise PacketError("a field of %d bytes: at most 65535" % len(raw))
    return bytes((len(raw) >> 8, len(raw) & 255)) + raw


def connect(client_id, user=None, password=None, keep_alive_s=60, will=None):
    """CONNECT with a clean session; `will` is (topic, payload, qos, retain) or None."""
    flags = 0x02
    tail = _field(client_id)
    if will is not None:
        topic, payload, qos, retain = will
        flags |= 0x04 | (qos << 3) | (0x20 if retain else 0)
        tail += _field(topic) + _field(payload)
    if user is not None:
        flags |= 0x80
        tail += _field(user)
        if password is not None:  # a password without a user is not allowed (MQTT-3.1.2-22)
            flags |= 0x40
            tail += _field(password)
    head = b"\x00\x04MQTT\x04" + bytes((flags, keep_alive_s >> 8, keep_alive_s & 255))
    return _packet(CONNECT << 4, head + tail)


def connack(code, session_present=False):
    """CONNACK: code 0 is welcome, 1 to 5 refuse (3.1.1, table 3.1)."""
    return bytearray((CONNACK << 4, 2, 1 if session_present else 0, code))


def publish_size(topic, payload, qos):
    """Bytes that a PUBLISH of these will take; topic and payload as bytes."""
    length = 2 + len(topic) + len(payload) + (2 if qos else 0)
    return 1 + length_size(length) + length


def put_publish(buf, pos, topic, payload, qos, retain, dup, pid):
    """Write a PUBLISH at `pos`; topic and payload as bytes. Gives the position after it."""
    length = 2 + len(topic) + len(payload) + (2 if qos else 0)
    first = (PUBLISH << 4) | (8 if dup else 0) | (qos << 1) | (1 if retain else 0)
    buf[pos] = first
    pos = put_length(buf, pos + 1, length)
    buf[pos] = len(topic) >> 8
    buf[pos + 1] = len(topic) & 255
    pos += 2
    buf[pos : pos + len(topic)] = topic
    pos += len(topic)
    if qos:
        buf[pos] = pid >> 8
        buf[pos + 1] = pid & 255
        pos += 2
    buf[pos : pos + len(payload)] = payload
    return pos + len(payload)


def publish(topic, payload, qos=0, retain=False, dup=False, pid=0):
    """A PUBLISH as a packet of its own."""
    topic = topic.encode()
    out = bytearray(publish_size(topic, payload, qos))
    put_publish(out, 0, topic, payload, qos, retain, dup, pid)
    return out


def puback(pid):
    """PUBACK for a PUBLISH of quality 1."""
    return bytearray((PUBACK << 4, 2, pid >> 8, pid & 255))


def subscribe(pid, topics):
    """SUBSCRIBE to (topic filter, qos) pairs."""
    body = bytes((pid >> 8, pid & 255))
    for topic, qos in topics:
        body += _field(topic) + bytes((qos,))
    return _packet((SUBSCRIBE << 4) | 2, body)


def suback(pid, codes):
    """SUBACK: one code for each filter asked for."""
    return _packet(SUBACK << 4, bytes((pid >> 8, pid & 255)) + bytes(codes))


# ---- reading -------------------------------------------------------------------------------


def _split(body, pos):
    """A length-prefixed field at `pos`: (bytes, position after it)."""
    if pos + 2 > len(body):
        raise PacketError("a packet ends inside a field")
    end = pos + 2 + (body[pos] << 8 | body[pos + 1])
    if end > len(body):
        raise PacketError("a packet ends inside a field")
    return bytes(body[pos + 2 : end]), end


def number(body, pos=0):
    """The two-byte number at `pos`: a packet identifier, a keep-alive."""
    if pos + 2 > len(body):
        raise PacketError("a packet ends inside a number")
    return body[pos] << 8 | body[pos + 1]


def _text(raw):
    """Text from bytes that must be UTF-8 (3.1.1, 1.5.3)."""
    try:
        return str(raw, "utf-8")
    except (ValueError, RuntimeError):  # MicroPython and CPython name it differently
        raise PacketError("text is not UTF-8") from None


def read_publish(first, body):
    """(topic, payload, qos, retain, dup, pid) of a PUBLISH."""
    qos = (first >> 1) & 3
    if qos == 3:
        raise PacketError("quality 3 does not exist")
    topic, pos = _split(body, 0)
    pid = 0
    if qos:
        pid = number(body, pos)
        pos += 2
    return _text(topic), bytes(body[pos:]), qos, bool(first & 1), bool(first & 8), pid


def read_connect(body):
    """What a client asked for, as a dict; for a peer that plays the broker."""
    if bytes(body[:7]) != b"\x00\x04MQTT\x04":
        raise PacketError("not MQTT 3.1.1")
    flags = body[7]
    out = {"clean": bool(flags & 2), "keep_alive_s": number(body, 8)}
    out["will"] = out["user"] = out["password"] = None
    client_id, pos = _split(body, 10)
    out["client_id"] = _text(client_id)
    if flags & 4:
        topic, pos = _split(body, pos)
        payload, pos = _split(body, pos)
        out["will"] = (_text(topic), payload, (flags >> 3) & 3, bool(flags & 0x20))
    if flags & 0x80:
        user, pos = _split(body, pos)
        out["user"] = _text(user)
    if flags & 0x40:
        password, pos = _split(body, pos)
        out["password"] = _text(password)
    return out


def read_subscribe(body):
    """(packet identifier, [(topic filter, qos)]) of a SUBSCRIBE."""
    pid, pos, topics = number(body), 2, []
    while pos < len(body):
        topic, pos = _split(body, pos)
        if pos >= len(body):
            raise PacketError("a SUBSCRIBE ends before its quality")
        topics.append((_text(topic), body[pos]))
        pos += 1
    return pid, topics


class Decoder:
    """Cuts a stream into packets, however the network split it.

    The buffer is made once. A packet larger than it is handed over cut short (its beginning holds
    topic and identifier, so that it can still be acknowledged) and the rest is thrown away.
    """

    def __init__(self, capacity=1024):
        self._buf = bytearray(capacity)
        self._view = memoryview(self._buf)
        self._end = 0
        self._skip = 0
        self._first = 0

    def clear(self):
        """Forget everything: a new connection."""
        self._end = 0
        self._skip = 0

    def room(self):
        """Where the next bytes from the network may be written."""
        return self._view[self._end :]

    def filled(self, count):
        """Say that `count` bytes were written into room()."""
        if self._skip:
            gone = min(self._skip, count)
            self._skip -= gone
            count -= gone
            self._shift(gone, count)
        self._end += count

    def feed(self, data):
        """Take bytes from anywhere; gives how many fitted."""
        count = min(len(data), len(self._buf) - self._end)
        self._buf[self._end : self._end + count] = data[:count]
        self.filled(count)
        return count

    def take(self):
        """The next packet as (first byte, body, whole) or None; whole is False if it was cut."""
        length, head = self._length()
        if head == 0:
            return None
        total = head + length
        if total <= self._end:
            body = bytes(self._view[head:total])
            self._end -= total
            self._pull(total)
            return self._first, body, True
        if total > len(self._buf) and self._end == len(self._buf):
            self._skip = total - self._end
            body = bytes(self._view[head : self._end])
            self._end = 0
            return self._first, body, False
        return None

    def _length(self):
        """(remaining length, bytes before the body), or (0, 0) while it is not all there."""
        if self._end < 2:
            return 0, 0
        self._first = self._buf[0]
        length, shift, pos = 0, 0, 1
        while pos < self._end:
            byte = self._buf[pos]
            length |= (byte & 127) << shift
            pos += 1
            if byte < 128:
                return length, pos
            shift += 7
            if shift > 21:
                raise PacketError("a remaining length of more than four bytes")
        return 0, 0

    def _pull(self, used):
        """Move what follows a taken packet to the front."""
        if self._end:
            self._buf[: self._end] = self._buf[used : used + self._end]

    def _shift(self, gone, count):
        """Drop `gone` bytes at the end of what is held, keep the `count` after them."""
        start = self._end
        self._buf[start : start + count] = self._buf[start + gone : start + gone + count]
