"""Pins of an ESP32 (GPIO numbers). hardware/ has the wiring that goes with them.

The probes are on ADC1, because ADC2 does not work while Wi-Fi does; attenuation 3 is the widest
range. The converter is not measured against the supply, so that a probe reads less exactly here
than on a Pico. No strapping pin is used (0, 2, 5, 12, 15) and none that a module with more memory
needs for itself (6 to 11, 16, 17); 34 to 36 can only be inputs, which is all a probe asks for. A
board has converters on SPI or on I2C (boards/fitted.py), not both.
"""

from . import fitted

NAME = "esp32"
SPI_ID = 2
SPI_SCK = 18
SPI_MOSI = 23
SPI_MISO = 19
THERMOCOUPLE_CS = (21, 22)  # pit, stone
I2C_ID = 0
I2C_SDA = 32
I2C_SCL = 4
PROBE_ADC = (34, 35, 36)
ADC_OPTIONS = {"atten": 3}
# The probes' switch, lower bit first: on the bus that the converters leave free.
MUX = (18, 23) if fitted.CONVERTER == "mcp9600" else (32, 4)
BLOWER = 25
PULSE = 33
DAMPER = 26
BUZZER = 27
LIGHT = 14
TACH = 39
LID_BUTTON = 13
TIMER = 0
