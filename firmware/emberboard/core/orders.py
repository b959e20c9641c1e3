"""Orders: every one is checked here, whatever sent it; an illegal one changes nothing."""

from . import limits as lim
from .limits import number
from .words import MODES, PHASES

OK = ("", "")
NEEDS_PERSON = (
    "not_now",
    "at_cooker: raising heat needs a person there, or a press of the button",
)

NEEDS_LOOK = (
    "not_now",
    "lid: opened at the cooker; hold its button 2 s, or say there that it is shut",
)


def out(text):
    """A refusal because a value is out of its range."""
    return ("out_of_range", text)


def bounded(args, name, low, high):
    """Return (value or None, refusal or None) of an optional number."""
    value = args.get(name)
    if value is None:
        return None, None
    value = number(value)
    if value is None or not low <= value <= high:
        return None, out("%s: a number %g to %g" % (name, low, high))
    return value, None


def take(controller, name, args, now_ms):
    """Carry out an order on `controller`; return (code, text), ('', '') when accepted."""
    handler = HANDLERS.get(name)
    if handler is None:
        return out("order: one of " + ", ".join(sorted(HANDLERS)))
    if not isinstance(args, dict):
        return out("args: an object of names and values")
    return handler(controller, args, now_ms)


def _mode(controller, args, now_ms):
    mode = args.get("mode")
    phase = args.get("phase", "")
    if mode not in MODES:
        return out("mode: one of " + ", ".join(MODES))
    if phase not in PHASES:
        return out("phase: one of " + ", ".join(PHASES[1:]))
    values = {}
    for field, low, high in MODE_FIELDS:
        values[field], wrong = bounded(args, field, low, high)
        if wrong:
            return wrong
    wrong = _complete(controller, mode, values)
    if wrong:
        return wrong
    if _raises(controller, mode, values) and not _somebody(controller, args, now_ms):
        return NEEDS_PERSON
    controller.enter(mode, phase, values, now_ms)
    return OK


MODE_FIELDS = (
    ("target_c", lim.TARGET_LOW_C, lim.TARGET_HIGH_C),
    ("stone_c", lim.STONE_LOW_C, lim.STONE_HIGH_C),
    ("pit_limit_c", lim.PIT_LIMIT_LOW_C, lim.PIT_HARD_C),
    ("longest_s", lim.DRIVE_SHORT_S, lim.DRIVE_LONG_S),
)


def _complete(controller, mode, values):
    if mode == "hold" and values["target_c"] is None and controller.target_c is None:
        return out("target_c: hold needs a target, %g to %g degC" % MODE_FIELDS[0][1:])
    if mode == "drive" and values["stone_c"] is None and controller.stone_target_c is None:
        return out("stone_c: drive needs a target, %g to %g degC" % MODE_FIELDS[1][1:])
    if (values["pit_limit_c"] or 0.0) > controller.agreed.pit_limit_c:
        return out("pit_limit_c: at most %g, this board's own" % controller.agreed.pit_limit_c)
    if mode in ("hold", "drive") and controller.book.any_of("trip"):
        return ("not_now", "stopped for safety: acknowledge first")
    return None


def _raises(controller, mode, values):
    """Whether a mode order can raise air from nothing, or above what was agreed at the cooker.

    | in force, and what was agreed | hold up to that | hold above it | drive | bank, off |
    | --- | --- | --- | --- | --- |
    | hold: its target | no | yes | yes | no |
    | drive that runs: its pit limit | no | yes | yes | no |
    | drive that is over, off, bank: no air | yes | yes | yes | no |

    A start and an acknowledged trip leave it off. What is in force was agreed at the cooker or
    lies below what was: nothing else can raise it.
    """
    if mode in ("off", "bank"):
        return False
    agreed_c = _agreed(controller)
    if mode == "drive" or agreed_c is None:
        return True
    target_c = values["target_c"]
    return (controller.target_c if target_c is None else target_c) > agreed_c


def _agreed(controller):
    """The pit, degC, that what is in force may bring about; None while it gives no air."""
    if controller.mode == "hold":
        return controller.target_c
    if controller.mode == "drive" and controller.drive_left_s > 0.0:
        return controller.agreed.drive_limit_c
    return None


def _somebody(controller, args, now_ms):
    pressed_ms = controller.pressed_ms
    pressed = pressed_ms is not None and abs(now_ms - pressed_ms) <= lim.AT_COOKER_MS
    return args.get("at_cooker") is True or pressed


def _target(controller, args, now_ms):
    target_c, wrong = bounded(args, "target_c", lim.TARGET_LOW_C, lim.TARGET_HIGH_C)
    if wrong or target_c is None:
        return wrong or out("target_c: a number %g to %g" % MODE_FIELDS[0][1:])
    if controller.mode != "hold":
        return ("not_now", "a target is taken while holding; order the mode instead")
    if target_c > controller.target_c and not _somebody(controller, args, now_ms):
        return NEEDS_PERSON
    controller.new_target(target_c)
    return OK


def _gains(controller, args, now_ms):
    values = {}
    for field, low, high in lim.GAIN_BOUNDS:
        values[field], wrong = bounded(args, field, low, high)
        if wrong:
            return wrong
    controller.hold.pid.set_gains(values["kp"], values["ti_s"], values["td_s"], values["b"])
    controller.note("gains", values["kp"], values["ti_s"], "")
    return OK


def _relay(controller, args, now_ms):
    if args.get("on") is False:
        controller.relay.end(controller)
    elif not controller.relay.start(controller):
        return ("not_now", "relay: a calm hold, 3 degC from its target, lid shut, no alert")
    return OK


def _lid(controller, args, now_ms):
    """Shut counts as said at the cooker when who says so has seen what the last press did."""
    lid = controller.lid
    is_open = args.get("open")
    if is_open is not True and is_open is not False:
        return out("open: true or false")
    if is_open:
        controller.tell_lid(lid.say_open)
    elif _has_seen(controller, args, now_ms):
        controller.tell_lid(lid.shut)
    elif lid.there:
        return NEEDS_LOOK
    else:
        controller.tell_lid(lid.unsay)
    return OK


def _has_seen(controller, args, now_ms):
    """Somebody is there, and the newest reading that they have seen follows the last press."""
    seen_ms, pressed_ms = args.get("seen_ms"), controller.pressed_ms
    if args.get("at_cooker") is not True or not isinstance(seen_ms, int):
        return False
    fresh = now_ms - lim.AT_COOKER_MS <= seen_ms <= now_ms
    return fresh and (pressed_ms is None or pressed_ms <= seen_ms)


def _vent(controller, args, now_ms):
    opening, wrong = bounded(args, "opening", 0.0, 1.0)
    if wrong or opening is None:
        return wrong or out("opening: a number 0 to 1")
    if args.get("vent") not in ("top", "bottom"):
        return out("vent: top or bottom")
    controller.set_vent(args["vent"], opening)
    return OK


def _pieces(controller, args, now_ms):
    pull_c = args.get("pull_c")
    wrong = controller.pulls.check(pull_c)
    if wrong:
        return out(wrong)
    controller.pulls.set(pull_c)
    return OK


def _pulled(controller, args, now_ms):
    k = args.get("index")
    if number(k) is None or k != int(k) or not 0 <= k < len(controller.pulls.pull_c):
        return out("index: 0 to %d" % (len(controller.pulls.pull_c) - 1))
    controller.pulled(int(k))
    return OK


def _acknowledge(controller, args, now_ms):
    """A trip that was seen ends what it stopped: heat needs an order of its own.

    So does a lying probe that nobody at the cooker has looked at: believed again, it gives air.
    """
    name = args.get("id")
    stopped = controller.latched()
    if controller.pit.is_doubted() and not _somebody(controller, args, now_ms):
        stopped.append("pit_sensor")
    if not isinstance(name, str) or not controller.acknowledge(name):
        return ("not_now", "id: 'all', or one of the alerts in force")
    if (name in stopped or (stopped and name == "all")) and controller.mode in ("hold", "drive"):
        controller.enter("off", "", {"target_c": None}, now_ms)
    return OK


HANDLERS = {
    "mode": _mode,
    "target": _target,
    "gains": _gains,
    "relay": _relay,
    "lid": _lid,
    "vent": _vent,
    "pieces": _pieces,
    "pulled": _pulled,
    "acknowledge": _acknowledge,
}
