"""Puts the application together from settings, drivers, core and link, and tidies up after itself.

Memory is short on a board. The spool is the largest single piece and is taken first, before
anything is scattered around; what is needed only here is let go at the end.
"""

import gc
import os
import sys

LIMITS = ("pit_limit_c", "stone_limit_c", "hold_margin_c")
HELD_ROWS = 168  # in memory, two pages' worth: the flash takes what the host does not
COLLECT_BYTES = 8192
ONLY_AT_START = ("boards.parts", "wiring")


def build(uptime, damage):
    """The application, ready to begin; `damage` is what whole.damage() found."""
    _forget("whole")
    from .link.spool import Spool

    spool = Spool(HELD_ROWS)
    values, troubles, notes = _settings()
    notes = notes + _history(damage)
    from .app import App
    from .keep import Keep

    board = _board(values, uptime, damage)
    app = App(board, uptime, spool, Keep(), troubles, notes, damage or ())
    raw = os.urandom(4)
    spool.boot = "".join("%02x" % byte for byte in raw)
    if values["broker_host"]:
        from .link.pages import Pages

        spool.pages = Pages(raw)
        app.session = _session(values, spool, app.controller)
    return app


def let_go():
    """Forget the modules that are not needed any more.

    What is made late and kept (a text, a table, a number of the controller) lies where the garbage
    ends that was there just then. With a collection each COLLECT_BYTES that is never far above
    what is full; with one a second the largest free piece shrank by a third in fifty outages.
    """
    for name in ONLY_AT_START:
        _forget(name)
    gc.threshold(COLLECT_BYTES)
    gc.collect()


def _forget(name):
    holder = sys.modules["emberboard"]
    for part in name.split(".")[:-1]:
        holder = getattr(holder, part)
    delattr(holder, name.split(".")[-1])
    del sys.modules["emberboard." + name]


def _settings():
    """(values, troubles, notes); their table is let go before the rest takes its memory."""
    from . import settings

    loaded = settings.load()
    _forget("settings")
    return loaded


def _history(damage):
    """What this start should tell of the files it runs."""
    notes = [] if damage is not None else ["files not checked: no list"]
    try:
        os.stat("failed")
        notes.append("back to earlier firmware")
    except OSError:
        pass
    return notes


def _board(values, uptime, damage):
    from .board import Board
    from .boards import parts

    board = Board()
    parts.fill(board, values, uptime, dead=bool(damage))
    board.limits = {name: values[name] for name in LIMITS}
    board.limits["blower_lowest"] = values["blower_lowest_pct"] / 100.0
    return board


def _session(values, spool, controller):
    from .link import messages
    from .link.client import MqttClient
    from .link.session import LinkSession, subscriptions
    from .link.sockets import Opener

    cooker, boot = values["cooker"], spool.boot
    client = MqttClient(
        Opener(values["broker_name"]).open,
        values["broker_host"],
        values["broker_port"],
        "%s-%s" % (cooker, boot),
        values["broker_user"] or None,
        values["broker_password"] or None,
        keep_alive_s=values["keep_alive_s"],
        will=messages.will(cooker, boot),
        subscriptions=subscriptions(cooker),
    )
    return LinkSession(client, spool, controller, cooker, boot, _info(values))


def _info(values):
    """What the host should know of this board: never a key or a password."""
    from . import __version__
    from .boards import fitted

    kind = "%s type %s" % (fitted.CONVERTER.upper(), values["thermocouple"])
    sensors = {
        "pit": kind,
        "stone": kind if values["stone_probe"] else None,
        "food_probes": values["food_probes"],
        "blower": values["blower"],
        "damper": values["damper"],
        "tach": values["tach"],
        "damper_feedback": values["damper_feedback"],
        "supply": values["supply_probe"],
        "offsets": _offsets(values),
    }
    bounds = {
        "pit_c": float(values["pit_limit_c"]),
        "stone_c": float(values["stone_limit_c"]),
        "hold_margin_c": float(values["hold_margin_c"]),
    }
    return {"firmware": __version__, "sensors": sensors, "limits": bounds}


def _offsets(values):
    """By sensor: what is added to its readings, K, and the day on which that was found."""
    out = {}
    for name in ("pit", "stone", "food1", "food2", "food3"):
        date = values[name + "_offset_date"]
        if date or values[name + "_offset_mk"]:
            out[name] = {"k": values[name + "_offset_mk"] / 1000.0, "date": date}
    return out
