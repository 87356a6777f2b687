"""Pins of an RP2040 board (numbers are GPIO numbers; a board with two rows of twenty contacts in mind). Data, no code.

Change a number here to use another pin; None where nothing is connected. The table of boards/WIRING.md is made of this
file. GPIO 26 to 29 are the only analogue inputs. A board in reset drives none of these pins, and its own pull-downs are
weak: every output needs the pull-down resistor that WIRING.md shows.
"""

# Servo pulses in, in the order of controller/codes.py: gear, throttle, brake, light, spare (signature).
PULSES = (2, 3, 4, 5, 6)

# The valve: whichever of these its kind uses.
COIL_UP = 10
COIL_DOWN = 11
VALVE_SERVO = 12

LIGHT = 13
LAMP = 14
TONE = 15

BUTTON = 16
GROUND = 17
LOCKS = (18, 19, 20, 21)

# Analogue inputs. GPIO 29 measures the board's own supply on many boards and is not brought out there: such a board
# has room for one pressure sensor.
SENSOR_A = 26
RAIL = 27
SUPPLY = 28
SENSOR_B = 29

# One text line a second (boards/common/statusline.py): number of the serial port, None for none.
STATUS_UART = None
STATUS_TX = 0

# Hz; the speed that the supported chips are made for, and the core voltage that goes with it (boards/rp2040/chip.py).
CPU_HZ = 200_000_000
