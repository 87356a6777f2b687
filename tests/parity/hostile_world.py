"""What the hostile inputs of one life are made from: numbers from one generator, the same on both interpreters."""

from controller import codes

ANY = 0x3FFFFFFF
N_WAYS = 12


class Dice:
    """Numbers of 31 bits; the same everywhere because no step leaves 62 bits."""

    def __init__(self, seed):
        self.state = seed & 0x7FFFFFFF

    def below(self, n):
        """0 .. n - 1."""
        self.state = (self.state * 1103515245 + 12345) & 0x7FFFFFFF
        return (self.state >> 7) % n

    def between(self, low, high):
        """low .. high."""
        return low + self.below(high - low + 1)

    def one_in(self, n):
        """True once in n times."""
        return self.below(n) == 0


class World:
    """What the inputs of one life are made from. `begin` starts a spell, `step` fills the inputs of one tick."""

    def __init__(self, dice, settings, inputs, quiet):
        self.dice = dice
        self.s = settings
        self.inputs = inputs
        self.now_ms = dice.below(2) * (0x40000000 - 4000)
        self.micro = 8000000 if dice.below(4) else 2000000
        self.slope = 0
        self.rate = 100
        self.up = 0
        self.down_ticks = 0
        self.ticks = 0
        self.ways = [0] * N_WAYS
        self.left = 60
        self.quiet = quiet
        self.lock_stuck = dice.one_in(4)
        self.was_up = 0

    def begin(self, gear_command):
        """A new spell: calm, with one or two inputs broken, or with nearly all of them."""
        dice = self.dice
        self.left = dice.between(5, 250)
        if gear_command == codes.DOWN or dice.one_in(2):
            self.up = 1 - self.up
        self.rate = dice.between(60, 140)
        self.slope = 0
        for index in range(N_WAYS):
            self.ways[index] = 0
        if self.quiet:
            # Up for long where the controller lets it, else one more move of the switch.
            self.left = 5000
            if gear_command == codes.DOWN:
                self.left = 70
            self.slope = 0 - (dice.between(100, 200) << dice.below(4))
            return
        mood = dice.below(6)
        if mood < 3:
            return
        if dice.one_in(4):
            self.slope = (0 - 80000) >> dice.below(6)
        if dice.one_in(12):
            self.slope = 20000
        n_broken = 2 if mood < 5 else N_WAYS
        for _ in range(n_broken):
            self.ways[dice.below(N_WAYS)] = dice.between(1, 7)
        if dice.one_in(4):
            self.ways[6] = self.ways[7] = dice.between(1, 3)

    def step(self, outputs):
        """Fill the inputs of one tick. `outputs` are those of the tick before."""
        if self.left == 0:
            self.begin(outputs.gear_command)
        self.left -= 1
        self.ticks += 1
        self._clock()
        for channel in range(codes.N_CHANNELS):
            self._channel(channel)
        self._pressure(outputs.gear_command)
        self._supply()
        self._switches(outputs)

    def _clock(self):
        dice = self.dice
        step = self.s.tick_ms
        way = self.ways[0]
        if way == 1:
            step = step * self.rate // 100
        if way == 2:
            step += dice.below(3) * 30
        if way == 3 and dice.one_in(20):
            step += dice.between(50, 300)
        if way == 4 and dice.one_in(30):
            step = dice.between(0 - 2000, 2000)
        if way == 5 and dice.one_in(30):
            step = dice.below(ANY)
        self.now_ms = (self.now_ms + step) & ANY
        self.inputs.now_ms = self.now_ms

    def _channel(self, channel):
        dice = self.dice
        inputs = self.inputs
        way = self.ways[1 + channel]
        low = 1100
        high = 1900
        if channel == codes.GEAR and self.s.gear_up_high == 0:
            low = 1900
            high = 1100
        width = low
        at_high = self.up == 1
        if channel != codes.GEAR:
            # Levers move every few seconds; in a quiet life they rest, because a brake application hides a leak.
            at_high = not self.quiet and (self.ticks >> 8) & channel
        if at_high:
            width = high
        fresh = 1
        if way == 1:
            fresh = 0
        if way == 2:
            fresh = dice.below(2)
        if way == 3 and dice.one_in(3):
            width = dice.between(500, 2500)
        if way == 4:
            width = dice.between(2040, 2160)
        if way == 5:
            width = dice.between(self.s.gear_low_us - 60, self.s.gear_high_us + 60)
        if way == 6 and dice.one_in(4):
            width = dice.between(0 - ANY, ANY)
        if way == 7:
            width = dice.below(4) * 700
        inputs.pulse_us[channel] = width + dice.below(5)
        inputs.fresh[channel] = fresh

    def _pressure(self, gear_command):
        dice = self.dice
        inputs = self.inputs
        self.micro += self.slope
        if gear_command != self.was_up:
            # A stroke costs air, mostly.
            self.was_up = gear_command
            self.micro -= 100000 * dice.between(1, 3)
        if self.micro < 0:
            self.micro = 0
        if self.micro > 9500000:
            self.micro = 9500000
        mbar = self.micro // 1000
        if self.ways[9] == 1:
            mbar = dice.below(9500)
        if self.ways[9] == 2:
            mbar = self.s.force_below_mbar + dice.between(0 - 60, 700)
        inputs.rail_counts = self.s.rail_nominal_counts
        if self.ways[10] == 1:
            inputs.rail_counts = dice.below(4096)
        if self.ways[10] == 2:
            inputs.rail_counts = dice.between(0 - ANY, ANY)
        zero = self.s.sensor_a_zero_counts
        span = self.s.sensor_a_full_counts - zero
        for index in range(codes.N_SENSORS):
            counts = zero + mbar * span // self.s.sensor_a_span_mbar + dice.below(5)
            way = self.ways[6 + index]
            if way == 1:
                counts = 0
            if way == 2:
                counts = 4095
            if way == 3:
                counts = inputs.counts[index]
            if way == 4 and dice.one_in(5):
                counts = dice.below(4096)
            if way == 5:
                counts += dice.between(80, 300)
            if way == 6 and dice.one_in(5):
                counts = dice.between(0 - ANY, ANY)
            inputs.counts[index] = counts

    def _supply(self):
        dice = self.dice
        force = self.s.supply_force_mv * 4095 // self.s.supply_full_mv
        counts = force + 400
        if self.ways[8] == 1:
            counts = force + dice.between(0 - 40, 140)
        if self.ways[8] == 2:
            counts = force - 60
        if self.ways[8] == 4:
            counts = force + 50
        if self.ways[8] == 3:
            counts = dice.between(0 - ANY, ANY)
        self.inputs.supply_counts = counts

    def _switches(self, outputs):
        dice = self.dice
        inputs = self.inputs
        way = self.ways[11]
        self.down_ticks += 1
        if outputs.gear_command == codes.UP:
            self.down_ticks = 0
        closed = self.s.lock_closed_level
        for leg in range(codes.N_LEGS):
            level = 1 - closed
            if self.down_ticks > 100 or way == 1 or (leg == 0 and self.lock_stuck):
                level = closed
            if way == 2:
                level = dice.below(2)
            if way == 3 and leg == 1:
                level = 1 - closed
            inputs.lock_level[leg] = level
        inputs.ground_level = self.s.ground_clear_level
        if way == 4:
            inputs.ground_level = 1 - self.s.ground_clear_level
        if way == 5:
            inputs.ground_level = dice.between(0 - 1, 2)
        inputs.button = 0
        if way == 6:
            inputs.button = dice.below(2)
