"""Run by MicroPython: trees on its own littlefs, as large as a stock Pico W's. Prints a word and a number a line.

Arguments: folder of a built tree, progsize of the file system, blocks, pages of records, whether a deploy takes the
tree before the present one away first. A deploy is acted as room.upy, stage.upy and switch.upy do it.
"""

import os
import sys

import vfs

BLOCK = 4096


class Flash:
    """NOR flash by the block, in memory."""

    def __init__(self, blocks):
        self.blocks = blocks
        self.data = bytearray(b"\xff" * (BLOCK * blocks))

    def readblocks(self, block, buf, offset=0):
        start = block * BLOCK + offset
        buf[:] = memoryview(self.data)[start : start + len(buf)]

    def writeblocks(self, block, buf, offset=0):
        start = block * BLOCK + offset
        self.data[start : start + len(buf)] = buf

    def ioctl(self, op, arg):
        if op == 4:
            return self.blocks
        if op == 5:
            return BLOCK
        if op == 6:
            self.data[arg * BLOCK : (arg + 1) * BLOCK] = b"\xff" * BLOCK
        return 0


def used():
    space = os.statvfs("/flash")
    return space[2] - space[3]


def files(folder, inside=""):
    for name, kind, *_ in os.ilistdir(folder + "/" + inside):
        path = inside + name
        if kind == 0x4000:
            yield path, None
            yield from files(folder, path + "/")
        else:
            with open(folder + "/" + path, "rb") as file:
                yield path, file.read()


def put(tree, target):
    os.mkdir(target)
    for name, data in tree:
        if data is None:
            os.mkdir(target + "/" + name)
        else:
            with open(target + "/" + name, "wb") as file:
                file.write(data)


def remove(path):
    for name, kind, *_ in os.ilistdir(path):
        if kind == 0x4000:
            remove(path + "/" + name)
        else:
            os.remove(path + "/" + name)
    os.rmdir(path)


def there(path):
    try:
        os.stat(path)
        return True
    except OSError:
        return False


def deploy(tree, free_first):
    if free_first and there("lib/emberboard"):
        remove("lib/emberboard")
    put(tree, "next")
    print("staged", used())
    if not there("lib"):
        os.mkdir("lib")
    if there("emberboard"):
        if there("lib/emberboard"):
            remove("lib/emberboard")
        os.rename("emberboard", "lib/emberboard")
    os.rename("next/emberboard", "emberboard")
    for name in ("boot.py", "main.py"):
        os.rename("next/" + name, name)
    remove("next")


tree_folder = sys.argv[1]
progsize, blocks, pages, free_first = (int(word) for word in sys.argv[2:6])
tree = list(files(tree_folder))
flash = Flash(blocks)
vfs.VfsLfs2.mkfs(flash, progsize=progsize)
vfs.mount(vfs.VfsLfs2(flash, progsize=progsize), "/flash")
os.chdir("/flash")
empty = used()
os.mkdir("spool")
for slot in range(pages):
    with open(f"spool/{slot}", "wb") as file:
        file.write(b"\x55" * 4056)
for name, size in (("settings.json", 1500), ("settings.bak", 1500), ("kept.json", 90)):
    with open(name, "wb") as file:
        file.write(b" " * size)
before = used()
print("beside", before)
try:
    for number in range(1, 5):
        start = used()
        deploy(tree, free_first)
        print("deployed", used())
        if number == 1:
            print("tree", used() - start)
except OSError as error:
    print("failed", error.errno)
