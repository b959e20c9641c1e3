"""Builds the thermocouple converters of this board; boards/parts.py lets it go at once."""

import machine

from .fitted import CONVERTER

SPI_HZ = 1000000
I2C_HZ = 100000
I2C_ADDRESSES = (0x60, 0x67)  # pit: ADDR at ground; stone: ADDR at the supply


def converters(pins, output, settings):
    """The pit's and, where it is fitted, the stone's; `output(number, level)` makes a pin."""
    count = 2 if settings["stone_probe"] else 1
    kind = settings["thermocouple"]
    if CONVERTER == "mcp9600":
        from ..drivers.mcp9600 import Mcp9600

        sda, scl = machine.Pin(pins.I2C_SDA), machine.Pin(pins.I2C_SCL)
        i2c = machine.I2C(pins.I2C_ID, sda=sda, scl=scl, freq=I2C_HZ)
        return [Mcp9600(i2c, address, kind) for address in I2C_ADDRESSES[:count]]
    phase = 1  # the two chips on SPI differ in the edge of the clock
    if CONVERTER == "max31855":
        from ..drivers.max31855 import Max31855 as Chip

        phase = 0
    else:
        from ..drivers.max31856 import Max31856 as Chip
    spi = machine.SPI(
        pins.SPI_ID,
        baudrate=SPI_HZ,
        polarity=0,
        phase=phase,
        sck=machine.Pin(pins.SPI_SCK),
        mosi=machine.Pin(pins.SPI_MOSI),
        miso=machine.Pin(pins.SPI_MISO),
    )
    selects = pins.THERMOCOUPLE_CS[:count]
    return [Chip(spi, output(number, 1), kind, settings["mains_hz"]) for number in selects]
