"""The board's side of the conversation: what is said at connecting, rows, orders and replies.

It owns no socket and no clock. Control goes on whether or not anybody listens: nothing here
raises, waits, or touches an output other than through the controller's `order`.
"""

from emberboard.core.words import ALERTS
from emberboard.link import messages

MOST_ROWS = 8  # in one poll: a bound on its time
MOST_KEPT = 2  # rows out of the flash
MOST_HEARD = 2
MOST_VERSION = 8  # letters
MOST_TEXT = 240  # letters of a refusal: it must fit into the client's buffer


def subscriptions(cooker):
    """What a board listens to: acks, and orders of any wire version (to refuse them in words)."""
    return (
        (messages.topic(cooker, "ack"), 0),
        (messages.any_version(cooker, "order"), 1),
    )


class LinkSession:
    """Speaks for one board.

    `client` is an MqttClient made with the will and the subscriptions of this cooker.
    `controller` has order(name, args, now_ms) -> (code, text), alerts (id -> Alert) and tuning().
    `info` is a dict: firmware (text), sensors, limits (dicts).
    """

    def __init__(self, client, spool, controller, cooker, boot, info):
        self._client = client
        self._spool = spool
        self._controller = controller
        self._cooker = cooker
        self._boot = boot
        self._info = info
        self._gate = messages.OrderGate(boot)
        self._reply = None  # (topic, payload) that waits for room
        self._last = self._last_reply = None  # of the order last taken: the host may ask again
        self._gains_n = None
        self._epoch = 0
        self._to_say = []
        self._dirty = []
        self._said = {}  # alert id -> what was published of it
        self._topics = {
            what: messages.topic(cooker, what).encode() for what in ("reading", "event")
        }
        self.malformed = 0  # messages heard that were no order and no ack
        self.oversize = 0  # messages of ours too large to be sent

    @property
    def up(self):
        """True while the broker listens."""
        return self._client.up

    def poll(self, now_ms):
        """Call it after each tick and as often as there is time; it never waits."""
        self._client.poll(now_ms)
        if not self._client.up:
            return
        if self._client.epoch != self._epoch:
            self._greet(now_ms)
        self._hear(now_ms)
        self._send_reply()
        if self._say(now_ms):
            self._tell_alerts()
            self._send_records(now_ms)
        self._client.poll(now_ms)

    def tuning_changed(self):
        """Learned constants have moved: publish them again."""
        if "tuning" not in self._to_say:
            self._to_say.append("tuning")

    def goodbye(self):
        """A wanted end: say offline ourselves, since a clean close keeps the will unsaid."""
        offline = messages.link("offline", self._boot)
        self._client.publish(messages.topic(self._cooker, "link"), offline, 0, True)
        self._client.disconnect()

    # ---- at connecting -----------------------------------------------------------------------

    def _greet(self, now_ms):
        self._epoch = self._client.epoch
        self._to_say = ["link", "info", "tuning"]
        self._dirty = list(ALERTS)  # also those that ended while nobody heard it
        self._said = {}
        self._spool.connected(now_ms)

    def _say(self, now_ms):
        """Retained messages that are due; True once all are queued."""
        while self._to_say:
            what = self._to_say[0]
            payload = self._payload(what, now_ms)
            where = messages.topic(self._cooker, what)
            if len(payload) > self._client.largest:
                self.oversize += 1  # it would block all that follows
            elif not self._client.publish(where, payload, 0, True):
                return False
            self._to_say.pop(0)
        return True

    def _payload(self, what, now_ms):
        if what == "link":
            return messages.link("online", self._boot)
        if what == "info":
            pages = self._spool.pages
            held = [] if pages is None else pages.held()
            return messages.info(self._info, self._boot, self._spool.held, now_ms, held)
        return messages.tuning(self._controller.tuning(), self._boot, self._gains_n, now_ms)

    # ---- alerts ------------------------------------------------------------------------------

    def _tell_alerts(self):
        """Publish alerts that came, changed or went; an empty message takes one away."""
        standing = self._controller.alerts
        for id in ALERTS:
            mark = self._mark(standing.get(id))
            if mark != self._said.get(id) and id not in self._dirty:
                self._dirty.append(id)
        while self._dirty:
            id = self._dirty[0]
            entry = standing.get(id)
            payload = b""
            if entry is not None:
                payload = messages.alert(id, entry, self._boot, self._spool.next_seq)
            where = messages.topic(self._cooker, "alert/" + id)
            if not self._client.publish(where, payload, 0, True):
                return
            self._said[id] = self._mark(entry)
            self._dirty.pop(0)

    def _mark(self, entry):
        if entry is None:
            return None
        return (entry.kind, entry.since_ms, entry.acknowledged, entry.active)

    # ---- records -----------------------------------------------------------------------------

    def _send_records(self, now_ms):
        spool = self._spool
        spool.announce_lost(now_ms)
        spool.watch(now_ms)
        for _ in range(MOST_ROWS):
            due = spool.next_to_send(now_ms)
            if due is None:
                break
            seq, late = due
            if not self._send(spool.buf, spool.offset(seq), self._boot, spool.held, late):
                return
            spool.sent(late)
        for _ in range(MOST_KEPT):
            due = spool.next_kept(now_ms)
            if due is None or not self._send(spool.pages.buf, 0, *due, True):
                return
            spool.sent_kept(now_ms)

    def _send(self, buf, offset, boot, oldest, late):
        what, payload = messages.record(buf, offset, boot, oldest, late)
        return self._client.publish(self._topics[what], payload)

    # ---- orders and acks ---------------------------------------------------------------------

    def _hear(self, now_ms):
        for _ in range(MOST_HEARD):
            if self._reply is not None and not self._send_reply():
                return  # its answer first
            heard = self._client.take()
            if heard is None:
                return
            self._on_message(*heard, now_ms)

    def _on_message(self, topic, payload, retained, now_ms):
        parts = messages.split_topic(topic)
        if parts is None or retained or len(parts[0]) > MOST_VERSION:
            self.malformed += 1  # an order kept by a broker would be carried out again and again
            return
        message = messages.loads(payload)
        if parts[2] == "ack":
            self._on_ack(message, now_ms)
        elif parts[0] != str(messages.WIRE):
            self._refuse_version(parts[0], message, now_ms)
        elif message is None:
            self.malformed += 1
            self._answer(None, "out_of_range", "an order is a JSON object", now_ms)
        else:
            self._on_order(message, now_ms)

    def _on_ack(self, message, now_ms):
        if message is None or not messages.is_whole(message.get("seq")):
            self.malformed += 1
            return
        if message.get("boot") == self._boot:
            self._spool.ack(message["seq"], now_ms)
        if self._spool.pages is not None:
            self._spool.pages.ack(message.get("boot"), message["seq"])

    def _on_order(self, order, now_ms):
        n = order.get("n") if messages.is_whole(order.get("n")) else None
        if self._asked_again(order, n, now_ms):
            return
        code, text = self._gate.check(order, now_ms)
        if code:
            self._answer(n, code, text, now_ms)
            return
        code, text = self._controller.order(order["name"], order["args"], now_ms)
        self._gate.taken(order, code)
        self._answer(n, code, text, now_ms)
        self._last, self._last_reply = messages.same(order), self._reply
        self._after(order, code, n)

    def _asked_again(self, order, n, now_ms):
        """One that was carried out is answered, not repeated."""
        if self._gate.has_stopped(order):
            self._answer(n, "", "", now_ms)
            return True
        again = messages.same(order) == self._last and order.get("boot") == self._boot
        if again and not messages.is_stop(order):
            self._reply = self._last_reply
            return True
        return False

    def _after(self, order, code, n):
        """New gains are published with the order that set them."""
        if code == "" and order["name"] == "gains":
            self._gains_n = n
            self.tuning_changed()

    def _refuse_version(self, theirs, message, now_ms):
        text = messages.version_trouble("the order", theirs, "this board")
        n = message.get("n") if message else None
        where = "%s/%s/%s/reply" % (messages.ROOT, theirs, self._cooker)
        self._answer(n if messages.is_whole(n) else None, "wrong_version", text, now_ms, where)

    def _answer(self, n, code, text, now_ms, where=None):
        where = where or messages.topic(self._cooker, "reply")
        self._reply = where, messages.reply(n, self._boot, code, text[:MOST_TEXT], now_ms)

    def _send_reply(self):
        """True once no reply is waiting."""
        if self._reply is not None and self._client.publish(*self._reply, 1):
            self._reply = None
        return self._reply is None
