"""Run by MicroPython: work of one tick, many times over, on wires made here instead of a bus.

Arguments: folder of the firmware, what to do, how many ticks, 'count' (bytes allocated) or 'work'.
"""

import sys

sys.path.insert(0, sys.argv[1])
import gc

from emberboard import permit
from emberboard.core.controller import Controller, Inputs
from emberboard.drivers.blower import Blower
from emberboard.drivers.damper import Damper
from emberboard.drivers.max31856 import Max31856
from emberboard.drivers.thermistor import Thermistor


class Wires:
    """SPI, select pin, PWM, analogue input: 121 degC, 25 degC, a probe at 25 degC."""

    words = bytearray(b"\x11\x03\xff\x55\xd8\x7f\xff\x80\x00\x00\x19\x00\x07\x90\x00\x00")

    def write(self, data):
        pass

    def readinto(self, buf):
        buf[:] = self.words

    def value(self, level=None):
        pass

    def read_u16(self):
        return 32768

    freq = duty_u16 = duty_ns = value


class Control:
    """Everything between two feeds of the watchdog but the waiting."""

    def __init__(self):
        wires = Wires()
        self.chips = (Max31856(wires, wires), Max31856(wires, wires))
        self.probe = Thermistor(wires)
        self.blower, self.damper = Blower(wires), Damper(wires)
        self.inputs, self.controller = Inputs(1), Controller(1)
        self.proof = permit.Proof(self.feed)
        order = {"mode": "hold", "phase": "slow", "target_c": 130.0, "at_cooker": True}
        print(self.controller.order("mode", order, 0))

    def feed(self):
        pass

    def tick(self, now_ms):
        inputs = self.inputs
        for chip in self.chips:
            chip.start()
        inputs.pit_c, inputs.pit_fault = self.chips[0].read()
        inputs.stone_c, inputs.stone_fault = self.chips[1].read()
        inputs.board_c = self.chips[0].cold_c
        inputs.core_c[0], inputs.core_fault[0] = self.probe.read()
        out = self.controller.tick(now_ms, inputs)
        self.blower.set(out.drive)
        self.damper.set(out.opening)
        self.controller.events.clear()
        self.proof.did(permit.ALL)
        self.proof.settle()
        return out


class Record(Control):
    """The same, and the record into the spool."""

    def __init__(self):
        from emberboard.link.spool import Spool

        Control.__init__(self)
        self.spool = Spool(boot="00000000")

    def tick(self, now_ms):
        self.spool.add_reading(now_ms, Control.tick(self, now_ms), self.inputs)


class Link(Record):
    """The same, and the record as JSON into the packet that goes out."""

    def tick(self, now_ms):
        from emberboard.link import messages

        Record.tick(self, now_ms)
        offset = self.spool.offset(self.spool.next_seq - 1)
        return messages.record(self.spool.buf, offset, "00000000", 0, False)


class SimplePid:
    """The update of the simple-pid package, unmodified, as a measure to compare with."""

    def __init__(self):
        sys.path.append(sys.argv[5])
        from pid import PID

        self.now_s = 0.0
        self.pid = PID(0.02, 0.00002, 0.1, setpoint=130.0, output_limits=(0.0, 1.0), time_fn=self.now)

    def now(self):
        return self.now_s

    def tick(self, now_ms):
        self.now_s = now_ms / 1000.0
        return self.pid(121.0, dt=1.0)


what = {"control": Control, "record": Record, "link": Link, "simple_pid": SimplePid}[sys.argv[2]]()
ticks, mode = int(sys.argv[3]), sys.argv[4]
for k in range(50):
    what.tick(k * 1000)
gc.collect()
if mode == "count":
    gc.disable()
    before = gc.mem_alloc()
    for k in range(50, 50 + ticks):
        what.tick(k * 1000)
    print("bytes", (gc.mem_alloc() - before) / ticks)
else:
    for k in range(50, 50 + ticks):
        what.tick(k * 1000)
