"""Pins of an ESP32 board (numbers are GPIO numbers; a development board with a WROOM-32 module in mind). Data, no code.

Change a number here to use another pin; None where nothing is connected. The table of boards/WIRING.md is made of this
file. Left out on purpose: 0 and 12, which decide at reset how the chip starts; 1 and 3, the USB adapter; 6 to 11, the
flash. 2, 5 and 15 are read at reset too, where a switch that holds them low does no harm (from memory of the datasheet).
34 to 39 can only be inputs and have no pull resistors. Modules with extra RAM use 16 and 17 themselves.
"""

# Servo pulses in, in the order of controller/codes.py: gear, throttle, brake, light, spare (signature).
PULSES = (18, 19, 21, 22, 23)

# The valve: whichever of these its kind uses.
COIL_UP = 25
COIL_DOWN = 26
VALVE_SERVO = 27

LIGHT = 33
LAMP = 32
TONE = 4

BUTTON = 15
GROUND = 13
LOCKS = (16, 17, 14, 5)

# Analogue inputs, all of converter 1: converter 2 belongs to the radio.
SENSOR_A = 36
SENSOR_B = 39
RAIL = 34
SUPPLY = 35

# One text line a second (boards/common/statusline.py): number of the serial port, None for none.
STATUS_UART = None
STATUS_TX = 2

CPU_HZ = 240_000_000
