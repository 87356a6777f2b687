"""A drawn flight as data, and the two sums that say how far it may go."""

from dataclasses import dataclass, field

from .airframes import Installation, plain

STRATA = (
    "anything",
    "dropout just below the limit",
    "dropout in the up stroke",
    "dropout in the down stroke",
    "two dropouts close together",
    "two dropouts just apart",
    "down during a dropout",
    "noise at its peak",
    "slow noise at its peak",
    "reads low near the floor",
    "reads low at the permit",
    "sensors at opposite ends",
    "tap before the up stroke",
    "tap in the up stroke",
    "tap after the up stroke",
    "cold climb",
    "ambient ramp",
    "supply dip",
    "low source",
    "glitches with gear up",
    "glitches with gear down",
    "sensor gap",
    "late tick",
    "clock off",
)
DROPOUTS = STRATA[1:7]
NOISES = ("normal", "peak", "slow peak")
STROKE_S = 3.0  # stroke and settling of both aircraft
AFTER_MOVE_S = 0.3
BEFORE_MOVE_S = 1.2


@dataclass
class Plan:
    """One drawn flight. Times are s since power-on, spans (from, until); everything the truth needs to know.

    `moves` are (t, up); `taps` (on, off, level 0..1); `glitches` (from, until, channel, share percent, run);
    `dips` and `gaps` have a third member, volts and the sensor's index; `climb` is (from, until, metres, kelvin).
    """

    seed: int
    stratum: str
    installation: Installation
    noise: str = "normal"
    fill_bar: float = 0.0
    altitude_m: float = 0.0
    ambient_k: float = 288.0
    duration_s: float = 0.0
    airborne_s: float = 7.0
    moves: list = field(default_factory=list)
    outages: list = field(default_factory=list)
    glitches: list = field(default_factory=list)
    taps: list = field(default_factory=list)
    dips: list = field(default_factory=list)
    low_source: tuple = ()
    gaps: list = field(default_factory=list)
    late: list = field(default_factory=list)
    climb: tuple = ()
    leak: tuple = ()
    clock_percent: float = 100.0

    @property
    def aircraft(self):
        """The aircraft with perfect sensors."""
        return plain(self.installation.file, self.installation.receiver, self.installation.n_sensors)

    def ups(self):
        """(from, until) of each time with the stick at UP."""
        spans = []
        for index, (t_s, up) in enumerate(self.moves):
            if up:
                spans.append((t_s, self.moves[index + 1][0]))
        return spans


def outage_limit_s(plan, n=1):
    """Longest time without a transmitter, s, all of `n` dropouts that count as one, that SR-06 has to bear.

    The receiver repeats its last frames for its own delay. Then up to two frame periods go with the frames in which a
    loss begins and ends, one with a signature pulse that comes later than its gear pulse, as many as a run of
    interference spoils, a tick, and a tenth of a frame for jitter.
    """
    receiver, s = plan.aircraft.receiver, plan.aircraft.settings
    spoilt = max((row[4] for row in plan.glitches if row[2] in ("gear", "spare")), default=0)
    frames = 2.1 + plan.installation.has_signature + spoilt
    lost_ms = frames * receiver.frame_ms + s.tick_ms
    return (s.link_force_ms + n * (receiver.failsafe_delay_ms - lost_ms)) / 1000.0


def retraction_bar(aircraft):
    """What one retraction costs once the heat has come back, bar."""
    air, s = aircraft.air, aircraft.settings
    return (s.retract_above_mbar / 1000.0 + 1.0) * (s.retract_swept_ul + s.retract_dead_ul) * 1e-9 / air.tank_m3
