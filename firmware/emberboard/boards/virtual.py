"""Pins of the virtual board, which a computer simulates: the same names as a real one."""

NAME = "virtual"
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
