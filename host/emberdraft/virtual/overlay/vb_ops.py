"""What the interpreter and the bench say to each other: one byte an operation, then its fields.

A frame from the interpreter is a row of operations; the last one is answered, those before it are
not. An answer is ANSWER bytes of header (flags, pin of an interrupt, 2 spare, bytes waiting on the
network) and then what was asked for. All numbers are little-endian.
"""

TIME = 1  # u64 board time in us: everything after it happens then
PIN = 2  # pin, level
PWM = 3  # pin, u32 frequency in Hz, u32 high time in ns
SPI_WRITE = 4  # bus, count, bytes
FEED = 5
WATCHDOG = 6  # u32 ms
LISTEN = 7  # pin: falling edges on it become interrupts
NET_OPEN = 8
NET_CLOSE = 9
NET_SEND = 10  # u16 count, bytes

HELLO = 32  # -> u32 seed, u8 cause of the last reset
SYNC = 33  # -> nothing
SPI_READ = 34  # bus, count -> bytes
ADC_READ = 35  # pin -> u16
PIN_READ = 36  # pin -> u8
NET_RECEIVE = 37  # u16 count -> bytes
PULSE = 39  # pin, u32 longest time in us -> u32 us, 0 = none came
RESET = 38  # no answer: the interpreter is ended

I2C_WRITE = 40  # address, register, count, bytes -> u8 whether somebody answered
I2C_READ = 41  # address, register, count -> the same, bytes

ANSWER = 8
FLAG_INTERRUPT = 1
FLAG_SPIN = 2  # a demonstration: this interpreter hangs from now on
FLAG_THROW = 4  # a demonstration: the next chip that is read raises
FLAG_CTRL_C = 8  # somebody at the cable interrupts what runs

POWER_ON = 1
BY_WATCHDOG = 3
BY_SOFTWARE = 5
