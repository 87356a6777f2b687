"""What should have happened, from the truth alone: the plan, the plant's pressure, the supply's voltage, the stick.

Nothing of the controller is asked but what it commanded, the cause it names and whether it refused. Judged are

forced    a cause holds the gear although nothing was wrong
dropped   the command left UP with the stick at UP and no cause named: interference taken for the pilot
unasked   the command went to UP although the stick had not been moved there within MOVE_S
refused   the pilot asked for UP, everything allowed it, and the command was not UP within MOVE_S

A flight is judged as long as it is healthy: until the true pressure, with the gear up, is less than the stated error
above `force_below`; until the ticks see as many spoilt frames in a row as make a run; not at all when its dropouts are
beyond what SR-06 has to bear.
"""

from dataclasses import dataclass, field

from controller import codes

from .plan import AFTER_MOVE_S, BEFORE_MOVE_S, outage_limit_s

MOVE_S = 1.5  # a run among interference, between ticks that may be late
PERMIT_V = 0.3
RADIO = "dropouts beyond the limit"
AIR = "tank near or below the floor"
# A tick hands over the last pulse that ended in it; a clean one before it in the same tick is not seen.
MERGED = "two runs of interference seen as one"
METER_V = 0.03  # noise and step of the supply reading, and a half


@dataclass
class Verdict:
    """One flight. `events` are (t_s, kind, detail); `excused` the same, of what happened while unhealthy.

    `left_s` is when the flight left the healthy range, None for never, and `left_why`; `healthy_s` how long it was judged.
    `moves`, `granted` count the moves to UP that the truth allowed, and those that were granted.
    """

    seed: int
    events: list = field(default_factory=list)
    excused: list = field(default_factory=list)
    left_s: float | None = None
    left_why: str = ""
    healthy_s: float = 0.0
    moves: int = 0
    granted: int = 0
    excused_moves: int = 0

    @property
    def counts(self):
        """Whether the flight counts as one of the N: healthy to its end, or an event before that."""
        return self.left_s is None or bool(self.events)

    def leave(self, t_s, why):
        """The healthy range ends here, unless it has ended before."""
        if self.left_s is None:
            self.left_s, self.left_why = t_s, why


def radio_is_healthy(plan):
    """Whether the dropouts of a plan are within what SR-06 has to bear; those too close to each other count as one."""
    recover_s = plan.aircraft.settings.link_recover_ms / 1000.0 + 6 * plan.aircraft.receiver.frame_ms / 1000.0
    cluster, last_s = [], float("-inf")
    for from_s, until_s in plan.outages:
        if from_s - last_s > recover_s:
            cluster = []
        cluster.append(until_s - from_s)
        last_s = until_s
        if sum(cluster) > outage_limit_s(plan, len(cluster)) + 1e-6:
            return False
    return True


def judge(plan, record):
    """Verdict of a flown plan."""
    verdict = Verdict(plan.seed)
    s = plan.aircraft.settings
    floor_bar = (s.force_below_mbar + s.sensor_error_mbar) / 1000.0
    if not radio_is_healthy(plan):
        verdict.leave(0.0, RADIO)
    held, command = "", codes.DOWN
    for index, t_s in enumerate(record.t_s):
        now = record.command[index]
        up = codes.UP in (now, command)
        if up and record.tank_bar[index] < floor_bar:
            verdict.leave(t_s, AIR)
        if record.spoilt[index] >= s.switch_frames:
            verdict.leave(t_s, MERGED)
        for kind, detail in _seen(plan, record, index, held, command):
            (verdict.events if verdict.left_s is None else verdict.excused).append((t_s, kind, detail))
        held, command = record.held[index], now
    verdict.healthy_s = record.t_s[-1] if verdict.left_s is None else verdict.left_s
    _judge_moves(plan, record, verdict)
    return verdict


def _seen(plan, record, index, held, command):
    """(kind, detail) of what happened of itself in one tick."""
    t_s, now = record.t_s[index], record.command[index]
    if record.held[index] and record.held[index] != held:
        yield "forced", record.held[index]
    if command == codes.UP and now == codes.DOWN and not record.held[index]:
        if not _stick_was(plan, codes.DOWN, t_s):
            yield "dropped", "no cause"
    if command == codes.DOWN and now == codes.UP and not _stick_was(plan, codes.UP, t_s):
        yield "unasked", "up"


def _stick_was(plan, position, t_s):
    """Whether the pilot's stick was at a position at some time of the last MOVE_S, or of the dropout that ends here."""
    since_s = t_s - MOVE_S
    now, was = codes.DOWN, False
    for move_s, up in (*plan.moves, (float("inf"), False)):
        # `now` held until move_s.
        if now == position and move_s > since_s:
            was = True
        if move_s > t_s:
            return was
        now = codes.UP if up else codes.DOWN
    return was


def _judge_moves(plan, record, verdict):
    for up_s, down_s in plan.ups():
        if not _allowed(plan, record, verdict, up_s):
            verdict.excused_moves += 1
            continue
        verdict.moves += 1
        for index, t_s in enumerate(record.t_s):
            if up_s <= t_s <= min(up_s + MOVE_S, down_s) and record.command[index] == codes.UP:
                verdict.granted += 1
                break
        else:
            refusals = {record.refusal[i] for i, t_s in enumerate(record.t_s) if up_s <= t_s <= up_s + MOVE_S}
            words = "+".join(codes.REFUSAL_WORDS[code] for code in sorted(refusals - {codes.REFUSAL_NONE}))
            verdict.events.append((up_s, "refused", words or "no refusal shown"))


def _allowed(plan, record, verdict, up_s):
    """Whether the truth allows the move to UP at up_s: air, radio, supply and sensors sound around it, nothing held."""
    s = plan.aircraft.settings
    if verdict.left_s is not None and verdict.left_s <= up_s + MOVE_S:
        return False
    if up_s < plan.airborne_s + s.ground_clear_ms / 1000.0 + 0.1:
        return False
    if any(
        from_s < up_s + AFTER_MOVE_S - 1e-6 and until_s > up_s - BEFORE_MOVE_S + 1e-6
        for from_s, until_s in plan.outages
    ):
        return False
    if any(from_s < up_s + MOVE_S / 3 and until_s > up_s - 0.5 for from_s, until_s, _ in plan.gaps):
        return False
    enough_bar = (s.retract_above_mbar + s.sensor_error_mbar) / 1000.0
    enough_v = s.supply_force_mv / 1000.0 + PERMIT_V + METER_V
    for index, t_s in enumerate(record.t_s):
        if up_s - 0.5 <= t_s <= up_s and record.held[index]:
            return False
        if up_s - 0.5 <= t_s <= up_s + MOVE_S and record.command[index] == codes.DOWN:
            if record.tank_bar[index] < enough_bar or record.supply_v[index] < enough_v:
                return False
    return True
