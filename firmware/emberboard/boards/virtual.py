"""Pins of the virtual board, which a computer simulates: the same names as a real one."""

NAME = "virtual"
SPI_ID = 0
SPI_SCK = 18
SPI_MOSI = 19
SPI_MISO = 16
THERMOCOUPLE_CS = (17, 20)  # pit, stone
PROBE_ADC = (26, 27, 28)
ADC_OPTIONS = {}
BLOWER = 2
DAMPER = 4
BUZZER = 6
LIGHT = 7
TACH = 22
LID_BUTTON = 8
TIMER = -1
