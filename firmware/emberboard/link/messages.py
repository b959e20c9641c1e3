"""What travels: topics, payloads, and which orders may pass. docs/reference/wire.md is its home.

The board and the host both read this module, so that there is one definition of the wire.
"""

import json

from emberboard.link import records
from emberboard.link.compose import Composer

ROOT = "emberdraft"
WIRE = 1  # the version of all this; it stands in the topic

REFUSALS = (
    "wrong_boot",
    "late",
    "not_newer",
    "out_of_range",
    "not_now",
    "wrong_version",
)

# Orders: the arguments that must be there, and the kind of each that may.
ORDERS = {
    "mode": (
        ("mode",),
        {
            "mode": "text",
            "phase": "text",
            "target_c": "number",
            "stone_c": "number",
            "pit_limit_c": "number",
            "longest_s": "number",
            "at_cooker": "flag",
        },
    ),
    "target": (("target_c",), {"target_c": "number", "at_cooker": "flag"}),
    "gains": ((), {"kp": "number", "ti_s": "number", "td_s": "number", "b": "number"}),
    "relay": ((), {"on": "flag"}),
    "lid": (("open",), {"open": "flag", "at_cooker": "flag", "seen_ms": "whole"}),
    "vent": (("vent", "opening"), {"vent": "text", "opening": "number"}),
    "pieces": (("pull_c",), {"pull_c": "numbers"}),
    "pulled": (("index",), {"index": "whole"}),
    "acknowledge": (("id",), {"id": "text", "at_cooker": "flag"}),
}

STOPPED_MODES = ("off", "bank")
STOPS_REMEMBERED = 8

KINDS = {
    "text": "a text",
    "number": "a number",
    "whole": "a whole number",
    "flag": "true or false",
    "numbers": "a list of numbers or null",
}


# ---- topics --------------------------------------------------------------------------------


def topic(cooker: str, what: str) -> str:
    """The topic of this wire version for one kind of message of one cooker."""
    return "%s/%d/%s/%s" % (ROOT, WIRE, cooker, what)


def any_version(cooker: str, what: str) -> str:
    """A filter for the same kind of message in any wire version, to be able to refuse it."""
    return "%s/+/%s/%s" % (ROOT, cooker, what)


def split_topic(text: str):
    """(version, cooker, what) of a topic of ours, or None for a foreign one."""
    parts = text.split("/", 3)
    return tuple(parts[1:]) if len(parts) == 4 and parts[0] == ROOT else None


def cooker_trouble(name) -> str:
    """'' for a good cooker id, else what would be right: it is a part of the topics."""
    good = isinstance(name, str) and 1 <= len(name) <= 32
    for letter in name if good else "":
        good = good and letter in "abcdefghijklmnopqrstuvwxyz0123456789-"
    return "" if good else "cooker %r: use 1 to 32 of a-z, 0-9 and -" % (name,)


def version_trouble(speaker: str, theirs: str, listener: str) -> str:
    """The sentence that refuses another wire version: both versions, and the remedy."""
    return (
        "%s speaks wire version %s, %s speaks %d: "
        "put board and host on the same release (emberdraft board deploy)"
        % (speaker, theirs, listener, WIRE)
    )


def boot_id(raw: bytes) -> str:
    """The name of one start of the board, from four random bytes."""
    return "".join("%02x" % byte for byte in raw[:4])


# ---- payloads ------------------------------------------------------------------------------


def dumps(message: dict) -> bytes:
    """A message as JSON bytes. No value in it may be not-a-number: see `clean`."""
    return json.dumps(message).encode()


def clean(value):
    """The same value with none in place of not-a-number and endless ones: JSON has neither."""
    if isinstance(value, float):
        return value if value - value == 0.0 else None
    if isinstance(value, dict):
        return {key: clean(entry) for key, entry in value.items()}
    if isinstance(value, (list, tuple)):
        return [clean(entry) for entry in value]
    return value


_composer = Composer()  # one buffer for every reading


def record(buf, offset: int, boot: str, oldest: int, late: bool):
    """(what, payload) of a packed record: a `reading` (good until the next call) or an `event`."""
    if not records.is_event(buf, offset):
        return "reading", _composer.reading(buf, offset, boot, oldest, late)
    message = records.unpack(buf, offset)
    message["boot"] = boot
    message["oldest"] = oldest
    if late:
        message["late"] = True
    return "event", dumps(message)


def link(state: str, boot: str) -> bytes:
    """`online` or `offline`; the will is the offline one."""
    return dumps({"state": state, "boot": boot})


def will(cooker: str, boot: str):
    """What the broker says for a board that went silent: (topic, payload, qos, retain)."""
    return topic(cooker, "link"), link("offline", boot), 1, True


def info(parts: dict, boot: str, oldest: int, ms: int, held=()) -> bytes:
    """`parts`: firmware (text), sensors and limits (dicts); `held`: see Pages.held."""
    message = clean(parts)
    message.update({"boot": boot, "oldest": oldest, "ms": ms, "held": held})
    return dumps(message)


def tuning(values: dict, boot: str, n, ms: int) -> bytes:
    """Gains and learned constants in force; `n` is the order that set them, or None."""
    message = clean(values)
    message.update({"boot": boot, "n": n, "ms": ms})
    return dumps(message)


def alert(id: str, entry, boot: str, seq: int) -> bytes:
    """One alert that stands; `seq` says which records were made before it."""
    return dumps(
        {
            "id": id,
            "kind": entry.kind,
            "value": clean(entry.value),
            "limit": clean(entry.limit),
            "since_ms": entry.since_ms,
            "acknowledged": bool(entry.acknowledged),
            "active": bool(entry.active),
            "boot": boot,
            "seq": seq,
        }
    )


def order(n: int, boot: str, until_ms: int, name: str, args: dict) -> bytes:
    """What the host wants; void on the board after `until_ms` of its uptime."""
    return dumps({"n": n, "boot": boot, "until_ms": until_ms, "name": name, "args": clean(args)})


def reply(n, boot: str, code: str, text: str, ms: int) -> bytes:
    """The board's answer to order `n`: code '' is accepted."""
    return dumps({"n": n, "boot": boot, "code": code, "text": text, "ms": ms})


def ack(boot: str, seq: int) -> bytes:
    """All records of `boot` below `seq` are on disk or settled."""
    return dumps({"boot": boot, "seq": seq})


# ---- what may pass -------------------------------------------------------------------------


def loads(payload: bytes):
    """The JSON object in a payload, or None if there is none."""
    try:
        message = json.loads(str(payload, "utf-8"))
    except (ValueError, RuntimeError):  # not UTF-8, not JSON, nested too deep
        return None
    return message if isinstance(message, dict) else None


def is_whole(value) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def is_number(value) -> bool:
    """A number that can be reckoned with: true and false, not-a-number and endless are none."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return False
    return value - value == 0


def _fits(kind, value):
    if kind == "text":
        return isinstance(value, str)
    if kind == "flag":
        return isinstance(value, bool)
    if kind == "whole":
        return is_whole(value)
    if kind == "numbers":
        return isinstance(value, list) and all(v is None or is_number(v) for v in value)
    return is_number(value)


def order_trouble(name, args) -> str:
    """'' for a well-formed order, else which part is wrong and what would be right."""
    if not isinstance(name, str) or name not in ORDERS:
        return "order %r: known are %s" % (name, ", ".join(sorted(ORDERS)))
    if not isinstance(args, dict):
        return "args of %s: must be an object" % name
    needed, kinds = ORDERS[name]
    for key in needed:
        if key not in args:
            return "%s needs %s, %s" % (name, key, KINDS[kinds[key]])
    for key, value in args.items():
        if key not in kinds:
            return "%s has no %r: known are %s" % (name, key, ", ".join(sorted(kinds)))
        if not (value is None and key not in needed) and not _fits(kinds[key], value):
            return "%s %s: must be %s" % (name, key, KINDS[kinds[key]])
    return ""


def is_stop(order: dict) -> bool:
    """Whether it takes the air away for good: off, or put the fire out."""
    args = order.get("args")
    if order.get("name") != "mode" or not isinstance(args, dict):
        return False
    return args.get("mode") in STOPPED_MODES


def same(order: dict) -> tuple:
    """What an order that is sent again has in common with itself, and with no other."""
    return order.get("n"), order.get("until_ms")


class OrderGate:
    """Lets an order pass once, in its boot, in its time. Knows nothing of what orders do.

    An order that comes again has its number and its `until_ms`: a number alone may be another
    host's, who has only just begun to count.

    A stop needs no number above the others: whoever could send one far too high would otherwise
    keep a fire burning that a person wants out.
    """

    def __init__(self, boot):
        self.boot = boot
        self.last_n = None
        self._stops = []  # of those carried out

    def check(self, order: dict, now_ms: int):
        """('', '') if the order may be carried out, else (refusal, what would be right)."""
        trouble = self._form_trouble(order)
        if trouble:
            return "out_of_range", trouble
        if order["boot"] != self.boot:
            return "wrong_boot", "this start of the board is %s" % self.boot
        if order["until_ms"] < now_ms:
            return "late", "void since %d ms, now %d ms" % (order["until_ms"], now_ms)
        if self.last_n is not None and order["n"] <= self.last_n and not is_stop(order):
            return "not_newer", "n must be above %d" % self.last_n
        trouble = order_trouble(order["name"], order["args"])
        return ("out_of_range", trouble) if trouble else ("", "")

    def taken(self, order: dict, code: str) -> None:
        """It was answered with `code`: it and all below are used up in this boot."""
        n = order["n"]
        self.last_n = n if self.last_n is None else max(n, self.last_n)
        if code == "" and is_stop(order):
            self._stops = (self._stops + [same(order)])[-STOPS_REMEMBERED:]

    def has_stopped(self, order: dict) -> bool:
        """Whether this stop was carried out before: its sender only has not heard so."""
        mine = order.get("boot") == self.boot and is_stop(order)
        return mine and is_whole(order.get("n")) and same(order) in self._stops

    def _form_trouble(self, order):
        for key, good, right in (
            ("n", is_whole, "a whole number"),
            ("boot", lambda value: isinstance(value, str), "a text"),
            ("until_ms", is_number, "a number of milliseconds"),
        ):
            if key not in order or not good(order[key]):
                return "%s: must be %s" % (key, right)
        if "name" not in order or "args" not in order:
            return "an order has n, boot, until_ms, name and args"
        return ""
