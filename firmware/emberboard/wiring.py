"""Puts the application together from settings, drivers, core and link."""

import os

from . import __version__, settings
from .app import App
from .core import limits
from .keep import Keep
from .link import messages
from .link.client import MqttClient
from .link.session import LinkSession, subscriptions
from .link.sockets import Opener
from .link.spool import Spool

KEEP_ALIVE_S = 10


def build(make_parts, uptime, feed):
    """The application, ready to begin. `make_parts(settings, uptime)` gives the drivers."""
    values, troubles = settings.load()
    boot = messages.boot_id(os.urandom(4))
    parts = make_parts(values, uptime)
    spool = Spool(boot=boot)
    app = App(parts, uptime, spool, Keep(), feed, troubles)
    parts.button.on_press = app.lid_pressed
    if values["broker_host"]:
        app.session = _session(values, boot, spool, app.controller)
    return app


def _session(values, boot, spool, controller):
    cooker = values["cooker"]
    client = MqttClient(
        Opener().open,
        values["broker_host"],
        values["broker_port"],
        "%s-%s" % (cooker, boot),
        values["broker_user"] or None,
        values["broker_password"] or None,
        keep_alive_s=KEEP_ALIVE_S,
        will=messages.will(cooker, boot),
        subscriptions=subscriptions(cooker),
    )
    return LinkSession(client, spool, controller, cooker, boot, _info(values))


def _info(values):
    """What the host should know of this board: never a key or a password."""
    sensors = {
        "pit": "MAX31856 type " + values["thermocouple"],
        "stone": "MAX31856 type " + values["thermocouple"] if values["stone_probe"] else None,
        "food_probes": values["food_probes"],
        "damper": values["damper"],
    }
    bounds = {
        "pit_c": limits.PIT_LIMIT_C,
        "stone_c": limits.STONE_LIMIT_C,
        "hold_margin_c": limits.HOLD_MARGIN_C,
    }
    return {"firmware": __version__, "sensors": sensors, "limits": bounds}
