"""Pins of a Raspberry Pi Pico W (GP numbers). hardware/ has the wiring that goes with them.

Blower and damper need different PWM frequencies, and the two pins of a slice share one: GP2 is in
slice 1 and GP4 in slice 2. A board has converters on SPI or on I2C (boards/fitted.py), not both.
"""

NAME = "pico_w"
SPI_ID = 0
SPI_SCK = 18
SPI_MOSI = 19
SPI_MISO = 16
THERMOCOUPLE_CS = (17, 20)  # pit, stone
I2C_ID = 1
I2C_SDA = 10
I2C_SCL = 11
PROBE_ADC = (26, 27, 28)
ADC_OPTIONS = {}
MUX = (12, 13)  # the probes' switch, lower bit first
BLOWER = 2
PULSE = 9
DAMPER = 4
BUZZER = 6
LIGHT = 7
TACH = 22
LID_BUTTON = 8
TIMER = -1
