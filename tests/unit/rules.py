"""SR-06, 08 and 09 as plain rules over a whole history: what a link and a switch must be at every tick."""

from controller.codes import DOWN, LINK_DEGRADED, LINK_GOOD, LINK_LOST, POSITION_UNKNOWN, UP


def link_by_the_rule(history, degraded, recover, force):
    """[(state, outage, broke, was_good)] for valid flags of all ticks from boot: the sentence of SR-06."""
    seen = []
    state, outage = LINK_LOST, 0
    silence, spanned, was_good = degraded + 1, 0, False
    for valid in history:
        silence = 0 if valid else silence + 1
        broke = silence == degraded
        outage += degraded if broke else int(silence > degraded)
        if silence >= degraded:
            spanned = 0
            state = LINK_DEGRADED if state == LINK_GOOD else state
        elif state != LINK_GOOD:
            spanned += 1
            if valid and spanned >= recover:
                state, spanned, was_good = LINK_GOOD, 0, True
        if state == LINK_GOOD:
            outage = 0
        elif outage >= force:
            state = LINK_LOST
        seen.append((state, min(outage, force), int(broke), int(was_good)))
    return seen


def switch_by_the_rule(events, need, up_high):
    """[(frame, position, down_run, up_done)] for [(valid, broke, width)]: runs of agreeing frames."""
    seen = []
    zone = position = side = POSITION_UNKNOWN
    run = 0
    for valid, broke, width_us in events:
        frame, down_run, up_done = POSITION_UNKNOWN, 0, 0
        if broke:
            zone = POSITION_UNKNOWN
            run = 0 if side == UP else run
        if valid:
            low, high = (DOWN, UP) if up_high else (UP, DOWN)
            frame = low if width_us <= 1300 else high if width_us >= 1700 else zone
        if frame != POSITION_UNKNOWN:
            run = run + 1 if frame == side else 1
            side = frame
            if run >= need:
                position = zone = frame
                down_run = int(frame == DOWN)
                up_done = int(frame == UP and run == need)
        seen.append((frame, position, down_run, up_done))
    return seen
