"""What each pin can do by the chip's own documents; tests compare the board files with it.

RP2040 data sheet, section 1.4.3 "GPIO Functions", table 2 (page 13; page from memory); every row of it as MicroPython
keeps it for its pins, ports/rp2/boards/rp2_af.csv (read: SPI, I2C and PWM below are the same). The RP2350 of a Pico 2 W
has the same functions on these pins (RP2350 data sheet, 1.2.3; from memory). PWM: section 4.5.2, GPIO n is in slice
(n / 2) mod 8, and the two pins of a slice share one frequency. On a Pico W 23, 24, 25 and 29 belong to its radio and
supply (Pico W data sheet, section 2.1; from memory).

ESP32: data sheet, "Pin Definitions" and "Strapping Pins" (section 2; from memory), and the table of GPIO in ESP-IDF's
programming guide, "GPIO & RTC GPIO" (read): 0, 2, 5, 12, 15 strap; 6 to 11 and 16, 17 belong to flash and PSRAM; 34 to
39 are inputs without pull resistors; 1 and 3 are the console; ADC1 is on 32 to 39; ADC2 is lost while Wi-Fi runs.
"""

from __future__ import annotations

PICO_FREE = set(range(0, 23)) | {26, 27, 28}
PICO_ADC = {26, 27, 28}

# Pins by function and unit.
PICO_SPI = {
    (0, "MISO"): {0, 4, 16, 20},
    (0, "SCK"): {2, 6, 18, 22},
    (0, "MOSI"): {3, 7, 19},
    (1, "MISO"): {8, 12, 28},
    (1, "SCK"): {10, 14, 26},
    (1, "MOSI"): {11, 15, 27},
}
PICO_I2C = {
    (0, "SDA"): {0, 4, 8, 12, 16, 20, 28},
    (0, "SCL"): {1, 5, 9, 13, 17, 21},
    (1, "SDA"): {2, 6, 10, 14, 18, 22, 26},
    (1, "SCL"): {3, 7, 11, 15, 19, 27},
}

# Pin on the edge of a Pico for each GPIO (Pico W data sheet, pinout; from memory).
PICO_EDGE = {
    0: 1, 1: 2, 2: 4, 3: 5, 4: 6, 5: 7, 6: 9, 7: 10, 8: 11, 9: 12, 10: 14, 11: 15, 12: 16, 13: 17, 14: 19, 15: 20,
    16: 21, 17: 22, 18: 24, 19: 25, 20: 26, 21: 27, 22: 29, 26: 31, 27: 32, 28: 34,
}  # fmt: skip

ESP32_EXISTS = set(range(0, 20)) | {21, 22, 23, 25, 26, 27} | set(range(32, 40))
ESP32_STRAPPING = {0, 2, 5, 12, 15}
ESP32_FLASH = set(range(6, 12)) | {16, 17}
ESP32_CONSOLE = {1, 3}
ESP32_INPUT_ONLY = set(range(34, 40))
ESP32_ADC1 = set(range(32, 40))
ESP32_SPI = {1, 2}  # 0 belongs to the flash


def pico_slice(gpio: int) -> int:
    """The PWM slice of a pin (RP2040 data sheet, 4.5.2)."""
    return gpio // 2 % 8
