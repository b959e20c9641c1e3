"""Pins of an ESP32 (GPIO numbers). hardware/ has the wiring that goes with them.

The probes are on ADC1, because ADC2 does not work while Wi-Fi does; attenuation 3 is the widest
range. The converter is not measured against the supply, so that a probe reads less exactly here
than on a Pico.
"""

NAME = "esp32"
SPI_ID = 2
SPI_SCK = 18
SPI_MOSI = 23
SPI_MISO = 19
THERMOCOUPLE_CS = (5, 17)  # pit, stone
PROBE_ADC = (32, 33, 34)
ADC_OPTIONS = {"atten": 3}
BLOWER = 25
DAMPER = 26
BUZZER = 27
LIGHT = 14
TACH = 39
LID_BUTTON = 13
TIMER = 0
