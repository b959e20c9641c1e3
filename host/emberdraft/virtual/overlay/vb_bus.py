"""The interpreter's end of the bus to the bench, and the board's clock, both below the drivers.

Board time passes in three ways only: the board sleeps, a transfer takes its bits' time, or the
clock is read (a few microseconds, so that a loop that waits for a deadline does reach it). Nothing
here asks the computer's clock: pace and hurry are the bench's business, which may answer late.
"""

import sys

from vb_ops import *

STRIDE_US = 100000  # at most this long without hearing from the bench
READ_CLOCK_US = 5
ROOM = 1200

now_us = 0
heard_us = 0
waiting = 0  # bytes waiting on the tunnelled network
spin = False
throw = False
seed = 1
cause = POWER_ON

_out = bytearray(ROOM + 10)  # a SYNC has its place behind a full frame
_used = 2  # the first two bytes are the frame's length
_said_us = -1
_answer = bytearray(ANSWER + ROOM)
_interrupts = []
handlers = {}  # pin number -> function
timers = []  # machine.Timer objects that are running

_write = None
_read = None


def attach(fd):
    """Take the descriptor that the bench gave us and learn what a board knows at its start."""
    global _write, _read, seed, cause
    if sys.implementation.name == "micropython":
        stream = open(fd, "r+b")
        _write = stream.write
        _read = stream.readinto
    else:
        _write, _read = _descriptor(fd)
    _op(HELLO, 1)
    view = ask(5)
    seed = view[0] | view[1] << 8 | view[2] << 16 | view[3] << 24
    cause = view[4]


def _descriptor(fd):
    """Read and write exactly as MicroPython's files do, on CPython."""
    import os

    view = memoryview(_answer)

    def write(buf, count):
        while count:
            done = os.write(fd, buf[:count])
            buf, count = buf[done:], count - done

    def read(_buf, count):
        got = 0
        while got < count:
            done = os.readv(fd, [view[got:count]])
            if done == 0:
                break
            got += done
        return got

    return write, read


# ---- operations ----------------------------------------------------------------------------


def _op(code, size):
    """Begin an operation of `size` bytes; gives where to write its fields."""
    global _used, _said_us
    if code != SYNC and _used + size + 9 > ROOM:
        _op(SYNC, 1)
        ask(0)
    if _said_us != now_us:
        _out[_used] = TIME
        _put(_used + 1, now_us, 8)
        _said_us = now_us
        _used += 9
    at = _used
    _out[at] = code
    _used = at + size
    return at + 1


def _put(at, value, size):
    for k in range(size):
        _out[at + k] = value & 255
        value >>= 8


def ask(count):
    """Send the frame and give the `count` bytes of its answer (valid until the next question)."""
    global _used, heard_us, waiting, spin, throw
    _out[0] = _used & 255
    _out[1] = _used >> 8
    _write(_out, _used)
    _used = 2
    if _read(_answer, ANSWER + count) != ANSWER + count:
        raise SystemExit  # the bench is gone: nobody is to be left running alone
    heard_us = now_us
    flags = _answer[0]
    waiting = _answer[4] | _answer[5] << 8 | _answer[6] << 16
    if flags:
        if flags & FLAG_INTERRUPT:
            _interrupts.append(_answer[1])
        if flags & FLAG_SPIN:
            spin = True
        if flags & FLAG_THROW:
            throw = True
        if flags & FLAG_CTRL_C:
            raise KeyboardInterrupt
    return _answer[ANSWER : ANSWER + count]


def say(code, *fields):
    """An operation with one-byte fields and no answer; it travels with the next question."""
    at = _op(code, 1 + len(fields))
    for value in fields:
        _out[at] = value
        at += 1


def say_pwm(pin, hertz, high_ns):
    at = _op(PWM, 10)
    _out[at] = pin
    _put(at + 1, hertz, 4)
    _put(at + 5, high_ns, 4)


def say_watchdog(ms):
    _put(_op(WATCHDOG, 5), ms, 4)


def say_bytes(code, first, data):
    """Bytes to a bus (SPI_WRITE: bus and count) or to the network (NET_SEND: a u16 count)."""
    count = len(data)
    at = _op(code, 3 + count)
    _out[at] = first if code == SPI_WRITE else count & 255
    _out[at + 1] = count if code == SPI_WRITE else count >> 8
    _out[at + 2 : at + 2 + count] = data


def ask_pin(code, pin, size):
    _out[_op(code, 2)] = pin
    return ask(size)


def ask_spi(bus, count):
    at = _op(SPI_READ, 3)
    _out[at] = bus
    _out[at + 1] = count
    return ask(count)


def i2c_write(address, register, data):
    """Bytes into a register of a chip; True when it answered."""
    count = len(data)
    at = _op(I2C_WRITE, 4 + count)
    _out[at] = address
    _out[at + 1] = register
    _out[at + 2] = count
    _out[at + 3 : at + 3 + count] = data
    return ask(1)[0]


def i2c_read(address, register, count):
    """Bytes of a register, None when nobody answered."""
    at = _op(I2C_READ, 4)
    _out[at] = address
    _out[at + 1] = register
    _out[at + 2] = count
    view = ask(1 + count)
    return view[1:] if view[0] else None


def ask_pulse(pin, longest_us):
    """Length of the next pulse on a pin; waiting for it takes board time as well."""
    at = _op(PULSE, 6)
    _out[at] = pin
    _put(at + 1, longest_us, 4)
    view = ask(4)
    pulse_us = view[0] | view[1] << 8 | view[2] << 16
    took(2 * (pulse_us or longest_us))
    return pulse_us


def ask_network(count):
    _put(_op(NET_RECEIVE, 3), count, 2)
    return ask(count)


def reset():
    """The board resets: the bench ends this interpreter, so nothing comes after this."""
    _op(RESET, 1)
    ask(0)


# ---- time ----------------------------------------------------------------------------------


def clock_us():
    """Board time in us, read as firmware reads it: that takes a moment."""
    global now_us
    now_us += READ_CLOCK_US
    return now_us


def took(us):
    """A transfer took this long."""
    global now_us
    now_us += us


def idle(us):
    """Sleep for `us`, or less if something woke the board: an interrupt, a timer."""
    global now_us
    end_us = now_us + us
    while True:
        stop_us = min(end_us, heard_us + STRIDE_US)
        for timer in timers:
            if timer.due_us < stop_us:
                stop_us = timer.due_us
        if stop_us > now_us:
            now_us = stop_us
        if now_us - heard_us >= STRIDE_US:
            _op(SYNC, 1)
            ask(0)
        woke = attend()
        if woke or now_us >= end_us:
            return
        while spin:
            pass


def attend():
    """Run what is due: timers first, then interrupts. True if anything ran."""
    ran = False
    for timer in timers:
        if timer.due_us <= now_us:
            timer.fire(now_us)
            ran = True
    while _interrupts:
        pin = _interrupts.pop(0)
        if pin in handlers:
            handlers[pin]()
            ran = True
    return ran


def sleep_us(us):
    """Sleep for the whole of `us`, whatever wakes the board in between."""
    end_us = now_us + us
    while now_us < end_us:
        idle(end_us - now_us)
