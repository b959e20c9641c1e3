"""The controller through a cook on a pit of two lines, with faults, a lid and orders in between."""

import sys

sys.path.insert(0, sys.argv[1])

from emberboard.core.controller import Controller, Inputs


def say(now_s, out, pit_c):
    print(
        now_s,
        out.mode,
        out.why,
        f"{pit_c:.6f} {out.duty:.6f} {out.drive:.6f} {out.p:.6f} {out.i:.6f}",
        "-" if out.opening is None else f"{out.opening:.4f}",
        out.lid_open,
    )


ORDERS = {
    5: ("mode", {"mode": "hold", "phase": "slow", "target_c": 121.0, "at_cooker": True}),
    900: ("target", {"target_c": 110.0}),
    1000: ("target", {"target_c": 900.0}),
    1100: ("gains", {"kp": 0.03}),
    1500: ("lid", {"open": True}),
    1560: ("lid", {"open": False}),
    2500: ("mode", {"mode": "bank"}),
    2600: ("nonsense", {}),
}
controller = Controller(1)
inputs = Inputs(1)
pit_c, fire = 20.0, 0.0
for now_s in range(3000):
    if now_s in ORDERS:
        code, text = controller.order(ORDERS[now_s][0], ORDERS[now_s][1], now_s * 1000)
        print("order", ORDERS[now_s][0], code)
    broken = 2000 <= now_s < 2010
    inputs.pit_c = None if broken else pit_c
    inputs.pit_fault = "open" if broken else ""
    inputs.core_c[0] = 4.0 + 0.02 * now_s
    out = controller.tick(now_s * 1000, inputs)
    fire += (out.drive - fire) / 90.0
    pit_c += 0.5 * fire - 0.002 * (pit_c - 20.0)
    if now_s % 50 == 0 or broken:
        say(now_s, out, pit_c)
    for event in controller.events:
        print(now_s, event[0], event[3])
    controller.events.clear()
print(sorted(controller.alerts), controller.latched())
