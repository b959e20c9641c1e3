"""An MQTT 3.1.1 client that never waits: `poll` does what can be done now and returns.

Every wait has a deadline, measured with the time that is handed in. A connection that does not
answer is given up and tried again later, with growing pauses and some chance in them, so that a
yard of boards does not come back in the same instant.
"""

import random

from emberboard.link import packets
from emberboard.link.outbox import Outbox

IDLE = 0  # waiting for the next try
OPENING = 1  # the socket is connecting; CONNECT is written as soon as it takes bytes
GREETING = 2  # CONNECT is out, CONNACK is due
ASKING = 3  # SUBSCRIBE is out, SUBACK is due
UP = 4

FIRST_PAUSE_MS = 1000
LONGEST_PAUSE_MS = 15000  # with a keep-alive before it: under 30 s to a broker that is well
REMEMBERED = 4  # messages of quality 1 without PUBACK that go again on the next connection
INBOX = 8
ANSWER = 4  # bytes of a PUBACK: no packet is read that could not be answered
# Errors of a socket that say "not yet": EAGAIN (Linux, lwIP), EINPROGRESS, EALREADY, ENOTCONN;
# the second group are the numbers of lwIP on some ports and of macOS.
NOT_YET = (11, 115, 114, 107, 119, 120, 128, 35, 36, 37, 57)

REFUSALS = {
    1: "the broker does not speak MQTT 3.1.1",
    2: "the broker refuses this client id",
    3: "the broker is not ready",
    4: "the broker refuses user or password",
    5: "the broker does not let this user in",
}


def _reader(sock):
    """The call that reads into a buffer: MicroPython streams and CPython name it differently."""
    return getattr(sock, "readinto", None) or sock.recv_into


def _writer(sock):
    return getattr(sock, "write", None) or sock.send


class MqttClient:
    """One connection to one broker, kept up for ever by calling `poll`.

    `open_socket(host, port)` gives a non-blocking socket that is already connecting, with
    readinto/recv_into, write/send and close; TLS and tests put in their own.
    `will` is (topic, payload, qos, retain). `subscriptions` are (topic filter, qos) pairs.
    """

    def __init__(
        self,
        open_socket,
        host,
        port,
        client_id,
        user=None,
        password=None,
        keep_alive_s=10,
        will=None,
        subscriptions=(),
        chance=random.random,
        tx_bytes=2048,
        rx_bytes=1024,
    ):
        self._open_socket = open_socket
        self._address = (host, port)
        self._hello = packets.connect(client_id, user, password, keep_alive_s, will)
        self._ask = packets.subscribe(1, subscriptions) if subscriptions else None
        self._patience_ms = keep_alive_s * 1000
        self._chance = chance
        self._outbox = Outbox(tx_bytes)
        self.largest = tx_bytes - 160  # payload that surely fits: topic, lengths, identifier
        self._decoder = packets.Decoder(rx_bytes)
        self._inbox = []
        self._in_flight = []  # (pid, packet)
        self._pid = 1
        self._sock = None
        self._tries = 0
        self._since_ms = self._retry_ms = 0
        self._heard_ms = self._said_ms = self._asked_ms = self._now_ms = 0
        self.state = IDLE
        self.epoch = 0  # rises with each connection that came up
        self.oversize = 0  # messages larger than the buffer, thrown away
        self.trouble = ""  # why the last connection ended, for a person

    @property
    def up(self):
        """True while the broker has let us in and granted the subscriptions."""
        return self.state == UP

    def poll(self, now_ms):
        """Do what can be done now: at most one read, one write and a few packets."""
        self._now_ms = now_ms
        try:
            if self.state == IDLE:
                self._begin()
            elif self.state == OPENING:
                self._greet()
            else:
                self._read()
                self._watch()
            self.flush()
        except (OSError, ValueError) as error:  # ValueError: what TLS says of a bad certificate
            self._fail("the connection broke: %s" % " ".join(str(error).split()))
        except packets.PacketError as error:
            self._fail("the broker sent what is not MQTT: %s" % error)

    def publish(self, topic, payload, qos=0, retain=False):
        """Queue a message (topic as str or bytes, payload bytes); False = not taken, try later."""
        if self.state != UP:
            return False
        topic = topic.encode() if isinstance(topic, str) else topic
        pid = self._next_pid() if qos else 0
        packet = self._outbox.put_publish(topic, payload, qos, retain, pid)
        if packet is None:
            return False
        if qos:
            self._remember(pid, bytes(packet))
        return True

    def take(self):
        """The next message heard, as (topic, payload, retained), or None."""
        return self._inbox.pop(0) if self._inbox else None

    def flush(self):
        """Write what is queued, in one write; what the network does not take stays queued."""
        if self.state < GREETING or self._outbox.empty():
            return
        sent = self._send(self._outbox.waiting())
        if sent:
            self._outbox.sent(sent)
            self._said_ms = self._now_ms

    def disconnect(self):
        """Say goodbye, so that the broker keeps the will to itself, and close."""
        if self._sock is not None and self._outbox.put(packets.BYE):
            try:
                self.flush()
            except OSError:
                pass  # it is closed either way
        self._drop("closed by this side")

    # ---- steps of a connection ---------------------------------------------------------------

    def _begin(self):
        if self._now_ms < self._retry_ms:
            return
        self._decoder.clear()
        self._outbox.clear()
        self._inbox.clear()  # its senders are told nothing by this connection
        self._sock = self._open_socket(*self._address)
        self._read_into = _reader(self._sock)
        self._write = _writer(self._sock)
        self._enter(OPENING)

    def _greet(self):
        """Offer CONNECT until the socket takes it: that is also how we learn it is connected."""
        sent = self._send(self._hello)
        if sent == 0:
            self._give_up_after(self._patience_ms, "no connection to the broker in time")
            return
        self._outbox.put(self._hello[sent:])
        self._said_ms = self._heard_ms = self._now_ms
        self._enter(GREETING)

    def _read(self):
        """One read, then every whole packet for which there is room.

        Without it TCP holds the broker back. Room comes again as soon as the session takes a
        message and the network our bytes: neither waits for a packet that is still to be read.
        """
        room = self._decoder.room()
        if len(room):
            self._decoder.filled(self._receive(room))
        while self._sock is not None and len(self._inbox) < INBOX and self._outbox.takes(ANSWER):
            packet = self._decoder.take()
            if packet is None:
                return
            self._heard_ms = self._now_ms  # a packet: bytes of one that never ends are no sign
            self._handle(*packet)

    def _handle(self, first, body, whole):
        kind = first >> 4
        if kind != packets.PUBLISH and first & 15:  # reserved bits (MQTT-2.2.2-1)
            raise packets.PacketError("packet of kind %d with flags" % kind)
        if kind == packets.PUBLISH and self.state >= ASKING:
            self._on_publish(first, body, whole)
        elif kind == packets.PUBACK:
            self._on_puback(packets.number(body))
        elif kind == packets.CONNACK and self.state == GREETING:
            self._on_connack(body)
        elif kind == packets.SUBACK and self.state == ASKING:
            self._on_suback(body)
        elif kind != packets.PINGRESP:
            raise packets.PacketError("packet of kind %d out of turn" % kind)

    def _on_connack(self, body):
        code = packets.number(body) & 255
        if code:
            self._fail(REFUSALS.get(code, "the broker refuses: code %d" % code))
        elif self._ask is None:
            self._come_up()
        else:
            self._outbox.put(self._ask)
            self._enter(ASKING)

    def _on_suback(self, body):
        if packets.REFUSED in body[2:]:
            self._fail("the broker does not let this user listen to its orders")
        else:
            self._come_up()

    def _come_up(self):
        """Open for messages; what had no PUBACK goes again, as new: the session is a clean one."""
        for _, packet in self._in_flight:
            self._outbox.put(packet)  # without room it waits for the next connection
        self.epoch += 1
        self._enter(UP)

    def _on_publish(self, first, body, whole):
        """A message; what comes before the SUBACK is what a broker kept, and no order."""
        topic, payload, qos, retain, _, pid = packets.read_publish(first, body)
        if qos:
            self._outbox.put(packets.puback(pid))
        if not whole:
            self.oversize += 1
        elif self.state == UP:
            self._inbox.append((topic, payload, retain))

    def _remember(self, pid, packet):
        """Until its PUBACK, or until there are too many: then the oldest is left to its fate.

        To wait for a PUBACK here would be to wait for what lies behind the orders not yet read.
        """
        self._in_flight.append((pid, packet))
        if len(self._in_flight) > REMEMBERED:
            self._in_flight.pop(0)

    def _on_puback(self, pid):
        self._in_flight = [entry for entry in self._in_flight if entry[0] != pid]

    # ---- deadlines ---------------------------------------------------------------------------

    def _watch(self):
        """Keep the connection alive, and give it up when it does not answer.

        Quiet is the longer of how long nothing was heard and how long nothing was taken: readings
        go out all the time, and a half-open connection takes our bytes for minutes.
        """
        if self.state == IDLE:
            return
        if self.state != UP:
            self._give_up_after(self._patience_ms, "the broker does not answer")
            return
        half_ms = self._patience_ms // 2
        quiet_ms = self._now_ms - min(self._heard_ms, self._said_ms)
        if quiet_ms >= 3 * half_ms:
            self._fail("no answer to a ping in %d s" % (3 * half_ms // 1000))
        elif quiet_ms >= half_ms and self._now_ms - self._asked_ms >= half_ms:
            if self._outbox.put(packets.PING):
                self._asked_ms = self._now_ms

    def _give_up_after(self, limit_ms, text):
        if self._now_ms - self._since_ms >= limit_ms:
            self._fail(text)

    def _fail(self, text):
        """Close and try again later; the pause doubles unless the connection had proved good."""
        if self.state == UP and self._now_ms - self._since_ms >= self._patience_ms:
            self._tries = 0
        pause_ms = min(LONGEST_PAUSE_MS, FIRST_PAUSE_MS << min(self._tries, 6))
        self._tries += 1
        self._retry_ms = self._now_ms + pause_ms // 2 + int(pause_ms // 2 * self._chance())
        self._drop(text)

    def _drop(self, text):
        if self._sock is not None:
            try:
                self._sock.close()
            except OSError:
                pass  # a socket that cannot be closed is gone
        self._sock = None
        self.trouble = text
        self._enter(IDLE)

    def _enter(self, state):
        self.state = state
        self._since_ms = self._now_ms

    # ---- bytes -------------------------------------------------------------------------------

    def _send(self, data):
        """Bytes taken by the network, 0 = none now."""
        try:
            return self._write(data) or 0
        except OSError as error:
            if error.args and error.args[0] in NOT_YET:
                return 0
            raise

    def _receive(self, view):
        """Bytes read, 0 = nothing yet; a closed connection is an error."""
        try:
            count = self._read_into(view)
        except OSError as error:
            if error.args and error.args[0] in NOT_YET:
                return 0
            raise
        if count == 0:
            raise OSError("closed by the broker")
        return count or 0

    def _next_pid(self):
        self._pid = self._pid % 65535 + 1  # 1 to 65535, never 0 (MQTT-2.3.1-1)
        return self._pid
