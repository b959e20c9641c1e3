"""Runs boot.py and main.py as a board does, on a computer: the first thing either interpreter runs.

Arguments: the descriptor of the bus, the folder of the firmware, 'tunnel' or 'network'. The
current folder is the board's own file system.
"""

import random
import sys

import vb_bus


def stand_in_for_asyncio():
    """Put the board's clock under asyncio."""
    if sys.implementation.name != "micropython":
        import vb_cpython

        vb_cpython.install()
        return
    import vb_queue

    sys.modules["_asyncio"] = vb_queue
    import asyncio.core as core

    core.IOQueue.wait_streams = core.IOQueue.wait_io_event
    core.IOQueue.wait_io_event = vb_queue.wait_io_event


def stand_in_for_network(kind):
    """In lock-step the network is tunnelled over the bus; otherwise it is the computer's own."""
    if kind == "tunnel":
        import vb_tunnel

        sys.modules["socket"] = vb_tunnel


def report_memory():
    """Tell the console how the heap stands, as often as the file of this name says in s."""
    try:
        with open("report_memory") as file:
            every_us = int(file.read()) * 1000000
    except OSError:
        return
    import vb_memory

    vb_bus.timers.append(vb_memory.Report(every_us))


def run(name, folder):
    """One of the two files that a board runs by itself."""
    with open(folder + "/" + name) as source:
        code = compile(source.read(), name, "exec")
    exec(code, {"__name__": "__main__"})


def main():
    descriptor, folder, kind = sys.argv[1:4]
    vb_bus.attach(int(descriptor))
    random.seed(vb_bus.seed)
    stand_in_for_asyncio()
    stand_in_for_network(kind)
    report_memory()
    sys.path.append(folder)
    sys.path.append(folder + "/lib")
    for name in ("boot.py", "main.py"):
        try:
            run(name, folder)
        except (Exception, KeyboardInterrupt) as error:  # told, then the next, at last the prompt
            sys.print_exception(error)
    while True:
        vb_bus.idle(vb_bus.STRIDE_US)


main()
