"""What proofs take from one another: each function gives one term, assumed by some proofs and proved by others.

A proof names what it assumes in `assumes`, and proves it with a goal named "contract: NAME" that calls the same
function on its own outcome. `unmet` finds what is assumed and not proved; `python -m tests.proof` fails on it.
"""

import z3

from controller.codes import CAUSE_BURST, CAUSE_CLOCK, CAUSE_SECOND_PATH, CAUSE_STROKE_LOSS, DOWN, POSITION_UNKNOWN, UP

# Causes that nothing releases before power-off.
FOR_GOOD = (CAUSE_BURST, CAUSE_STROKE_LOSS, CAUSE_SECOND_PATH, CAUSE_CLOCK)
# 60 s, the longest confirm time, at 10 ms, the shortest tick.
MOST_TICKS = 6000

MEANING = {
    "ticks": "every confirm time is 2 to 6000 ticks",
    "link times": "a lost link takes at least twice as long as a degraded one; the second path's limit is no shorter",
    "equal times": "both paths derive the same link, signature and heal times from equal settings",
    "second times": "every count of the second path is 2 to 24000 ticks",
    "half more": "the second path's times are one and a half times those of the mode logic",
    "switch": "down_run comes with a frame that says DOWN, up_done with one that says UP, never both",
    "facts": "facts are flags, what is present is not absent, four causes are never absent",
    "raw switch": "the second path's switch gives flags, never both moves at once",
    "raw sensor": "the second path's sensor is never known and bad at once, its reading is bounded",
    "readings": "the governing pressure, its smooth form and the flags beside them are bounded",
    "sensor": "a sensor's reading and flags are bounded",
    "stroke flags": "burst, loss, stroke in progress and stroke too cheap are flags",
    "window": "full is a flag, the oldest value is bounded",
    "slope": "a slope's flags are flags, its values bounded",
    "filling": "filling is a flag",
    "lower": "the lower of two samples, of which either may be missing",
    "code": "one code of a sensor is 1/16 to 32 mbar",
    "costs": "what a stroke should cost is bounded by what a sensor can read",
    "ground": "clear of the ground is a flag",
    "link state": "the link's state is one of three, and was_good a flag",
    "lateness": "late and clock are flags",
    "lockstep, switch": "both paths see the same link, runs and gaps",
    "lockstep, sensor": "both paths see the same good samples and medians",
    "failed": "a sensor is failed after sensor_confirm of bad or frozen, unhealed",
    "cause forces": "the mode logic commands DOWN with a cause present, and with a run to DOWN",
    "begin needs": "the mode logic begins UP only with leave and a good link",
    "was good stays": "a link that was good once has been good since",
    "leave": "leave is a flag",
    "time rules": "a lost link at least twice a degraded one, confirm times at least two ticks, coils rest",
    "volume rules": "the air of one stroke is at most half the tank",
    "lever rules": "taught ends of levers lie 200 us apart or more",
    "travel": "a lever's taught travel is 200 to 1400 us, either way",
    "air rules": "lock minimum, forcing point and permit point are in order, the second path's slack fits between",
    "sensor rules": "open, zero, full and short codes are in order, full at least 500 codes above zero",
    "channel rules": "the gear channel's points are in order, 2 to 10 frames make a run",
    "drops": "expected drops, their ratios and thresholds are bounded",
    "coil times": "a coil's pulse and dead time end before it is due again",
}


def flags(*values):
    return z3.And(*[z3.And(value >= 0, value <= 1) for value in values])


def within(low, value, high):
    return z3.And(low <= value, value <= high)


def ticks(*needs):
    return z3.And(*[within(2, need, MOST_TICKS) for need in needs])


def link_times(degraded, force, gaps_most):
    return z3.And(
        2 <= degraded, 2 * degraded <= force, force <= MOST_TICKS, force <= gaps_most, gaps_most <= 2 * MOST_TICKS
    )


def second_times(*needs):
    return z3.And(*[within(2, need, 4 * MOST_TICKS) for need in needs])


def switch(frame, down_run, up_done):
    return z3.And(
        flags(down_run, up_done),
        within(DOWN, frame, POSITION_UNKNOWN),
        z3.Implies(down_run == 1, frame == DOWN),
        z3.Implies(up_done == 1, frame == UP),
    )


def facts(present, absent, others):
    return z3.And(
        flags(*present, *absent, *others),
        *[absent[cause] == 0 for cause in FOR_GOOD],
        *[gone + now <= 1 for gone, now in zip(absent, present, strict=True)],
    )


# A sensor of 16 bar over 500 codes, read at 4094 codes: 127,808 mbar; at 20 codes with its zero at 2000: -63,360.
MOST_MBAR = 130000


def sensor(mbar, ready, failed):
    return z3.And(flags(ready, failed), within(-MOST_MBAR, mbar, MOST_MBAR))


def readings(read, lost, disagree, doubted, jumped, mbar, doubted_mbar, smooth):
    return z3.And(
        flags(read, lost, disagree, doubted, jumped),
        within(-MOST_MBAR, mbar, MOST_MBAR),
        within(-MOST_MBAR, doubted_mbar, MOST_MBAR),
        within(-16 * MOST_MBAR, smooth, 16 * MOST_MBAR),
    )


def window(full, oldest):
    return z3.And(flags(full), within(-16 * MOST_MBAR, oldest, 16 * MOST_MBAR))


def slope(votes, mbar, smooth, start_mbar, start_known):
    return z3.And(
        flags(votes, start_known),
        within(-MOST_MBAR, mbar, MOST_MBAR),
        within(-16 * MOST_MBAR, smooth, 16 * MOST_MBAR),
        within(-MOST_MBAR, start_mbar, MOST_MBAR),
    )


def cost(expected_mbar):
    return within(-MOST_MBAR, expected_mbar, MOST_MBAR)


def stroke_flags(in_progress, burst_now, loss_now, too_cheap):
    return flags(in_progress, burst_now, loss_now, too_cheap)


def raw_sensor(known, bad, mbar):
    return z3.And(flags(known, bad), known + bad <= 1, within(-MOST_MBAR, mbar, MOST_MBAR))


def lockstep_switch(state, outage, force, down_run, up_done, good, gaps, shown_down, moved_up):
    return z3.And(
        good == z3.If(state == 0, 1, 0),
        shown_down == down_run,
        moved_up == up_done,
        gaps >= 0,
        outage == z3.If(gaps < force, gaps, force),
        z3.Implies(outage >= force, state == 2),
    )


def lockstep_sensor(mbar, ready, bad, known, raw_mbar):
    return z3.And(known == ready, z3.Implies(ready == 1, z3.And(mbar == raw_mbar, bad == 0)))


def cause_forces(command, present, down_run):
    """The mode logic's command is DOWN with a cause present, and with a run to DOWN."""
    return z3.Implies(z3.Or(down_run == 1, *[value == 1 for value in present]), command == DOWN)


def begin_needs(leave, link_good):
    """What the mode logic begins UP with, at least."""
    return z3.And(leave == 1, link_good == 1)


def was_good_stays(before, after):
    return z3.Implies(before == 1, after == 1)


def raw_switch(good, shown_down, moved_up):
    return z3.And(flags(good, shown_down, moved_up), z3.Not(z3.And(shown_down == 1, moved_up == 1)))


def link_state(state, was_good):
    return z3.And(within(0, state, 2), flags(was_good), z3.Implies(state == 0, was_good == 1))


def travel(travel_us):
    return z3.Or(within(200, travel_us, 1400), within(-1400, travel_us, -200))


def coil_times(pulse, dead, repeat):
    return z3.And(ticks(pulse, dead, repeat), pulse + dead + 1 < repeat)


def drops(ratios, charge_mbar, deadband_mbar, supply_permit_mv):
    return z3.And(
        *[within(0, ratio, 5000) for ratio in ratios],
        within(-200, charge_mbar, 7100),
        within(0, deadband_mbar, 400),
        within(2800, supply_permit_mv, 20300),
    )


def air_rules(lock_min, force_below, retract_above, slack):
    return z3.And(
        within(200, lock_min, force_below),
        within(500, force_below, retract_above),
        retract_above <= 15000,
        within(0, slack, retract_above - force_below),
        slack <= 500,
    )


def sensor_rules(zero, full, open_counts, short_counts):
    return z3.And(
        within(20, open_counts, zero - 1),
        zero <= 2000,
        within(zero + 500, full, 4095),
        within(full + 1, short_counts, 4094),
    )


def channel_rules(low_us, high_us, frames):
    return z3.And(within(900, low_us, high_us - 100), high_us <= 2100, within(2, frames, 10))


def unmet(proofs):
    """{contract: [proofs that assume it]} of those that no proof discharges."""
    proved = {name for proof in proofs for name in proof.discharges}
    assumed = {}
    for proof in proofs:
        for name in proof.assumes:
            assumed.setdefault(name, []).append(proof.name)
    return {name: users for name, users in assumed.items() if name not in proved}
