"""What the emulated board is asked to show, each as a function of (image) that gives figures and what does not hold."""

from pathlib import Path

from controller import codes
from controller.health import RESTART_LIMIT
from host_sim.aircraft import AIRCRAFT_DIR, load_aircraft
from host_sim.install.layout import INNER_BLOCKS
from host_sim.scenario import load_scenario
from tests.boards.closed_loop import FLYING, LAMP, TONE, VALVE_SERVO, BoardFlight, installed_board, journal_of
from tests.boards.emulated import WATCHDOG
from tests.boards.emulated_edges import whole_pulses
from tests.boards.flown_twice import OnPc, differences, is_up_and_forced_down

HERE = Path(__file__).parent
AIRCRAFT = AIRCRAFT_DIR / "curlew24.yaml"
SERVO = (codes.VALVE_SERVO, 1050, 1950)
WATCHDOG_US = 500_000
# Tick and reset: what a board needs beyond its watchdog's time, generously.
LATE_US = 60_000


def fly(image, name):
    """A scenario in closed loop, against the same on the PC."""
    scenario = load_scenario(HERE / "flights" / f"{name}.yaml")
    flown = BoardFlight(image, scenario)
    flown.fly()
    reboot_us = round(flown.boots_us[1]) if len(flown.boots_us) > 1 else None
    pc = OnPc(load_scenario(HERE / "flights" / f"{name}.yaml"), reboot_us)
    wrong = differences(flown, pc)
    if not is_up_and_forced_down(pc):
        wrong.append("the gear was not up and forced down: the flight shows nothing")
    if any(record.kind == "late" for record in flown.records()):
        wrong.append("a tick was late")
    events = sum(1 for record in flown.records() if record.kind != "sample")
    return {**flown.figures, "events": events, "boots": len(flown.boots_us)}, wrong


def boot(image):
    """From reset to DOWN, to the lamp, to the first tick; with a servo valve, whose DOWN can be seen."""
    board = installed_board(image, load_aircraft(AIRCRAFT), valve=SERVO)
    servo, lamp, tone = (board.watch(pin) for pin in (VALVE_SERVO, LAMP, TONE))
    board.run_until_text(FLYING, 6_000_000)
    flying_us = board.now_us
    board.run_for(100_000)
    found = whole_pulses(servo)
    wrong = [f"a pulse of {width:.1f} us is not DOWN's" for _, width in found if abs(width - SERVO[1]) > 1]
    apart = [b - a for (a, _), (b, _) in zip(found, found[1:], strict=False)]
    if not found or max(apart) > 20_100:
        wrong.append("pulses of DOWN are missing")
    lit = next(at for at, level in lamp if level == 1)
    tones = {1000: 0, 2000: 0}
    sounds = [pulse for pulse in whole_pulses(tone)]
    for (a, _), (b, _) in zip(sounds, sounds[1:], strict=False):
        for hz in tones:
            if abs(b - a - 1e6 / hz) < 2:
                tones[hz] += b - a
    for hz, for_us in tones.items():
        if for_us < 100_000:
            wrong.append(f"the tone of {hz} Hz was heard for {for_us / 1e6:.2f} s")
    figures = {
        "down_us": round(found[0][0]) if found else 0,
        "lamp_us": round(lit),
        "low_tone_us": round(tones[1000]),
        "high_tone_us": round(tones[2000]),
        "first_tick_us": round(flying_us),
    }
    return figures, wrong


def costs(image):
    """What the parts of a step cost, and memory."""
    board = installed_board(image, load_aircraft(AIRCRAFT), (HERE / "board_costs.py").read_text())
    lines = board.run_until_text("done", 12_000_000).splitlines()
    figures = {line.split()[0]: int(line.split()[1]) for line in lines if len(line.split()) == 2}
    figures["file_bytes"] = sum(len(data) for data in board.files(2, INNER_BLOCKS).values())
    figures["file_bytes"] -= len((HERE / "board_costs.py").read_bytes())
    wrong = []
    if figures["allocated"] != 0:
        wrong.append(f"a hundred steps took {figures['allocated']} bytes")
    if figures["allocated_control"] == 0:
        wrong.append("the measurement of memory sees nothing")
    if figures["whole"] != 1:
        wrong.append("the set of files was not found whole")
    return figures, wrong


def sick(image, how, n_resets):
    """A stage that is not well, raises, or hangs: the watchdog resets. After three times the board is locked out."""
    main = (HERE / "board_sick.py").read_text().replace("HOW_HERE", how)
    board = installed_board(image, load_aircraft(AIRCRAFT), main)
    flying = []
    wrong = []
    for _ in range(n_resets):
        board.forget_text()
        board.run_until_text(FLYING, 6_000_000)
        flying.append(board.now_us)
        n_resets = len(board.resets)
        while len(board.resets) == n_resets and board.now_us < flying[-1] + 3_000_000:
            board.run_for(20_000)
    board.forget_text()
    board.run_until_text(FLYING, 6_000_000)
    board.run_for(300_000)
    bites = [at for at, cause in board.resets if cause == WATCHDOG]
    # Twenty ticks of 20 ms, and then what is left of the watchdog's time.
    due_us = 20 * 20_000 + WATCHDOG_US
    after = [bite - start for start, bite in zip(flying, bites, strict=False)]
    if len(bites) != n_resets or not all(abs(wait - due_us) < LATE_US for wait in after):
        wrong.append(f"the watchdog bit after {[round(wait) for wait in after]} us, not {due_us}")
    records = journal_of(board)
    last = [record for record in records if record.run.boot == records[-1].run.boot]
    is_locked_out = any(record.kind == "mode" and record.code == codes.LOCKED_OUT for record in last)
    if is_locked_out != (n_resets == RESTART_LIMIT):
        wrong.append(f"locked out: {is_locked_out} after {n_resets} restarts")
    return {"bite_us": round(max(after, default=0)), "resets": len(bites)}, wrong


FLIGHTS = ("low_air", "radio_lost", "reset_in_flight")
ITEMS = {
    **{f"flight {name}": (fly, (name,)) for name in FLIGHTS},
    "boot": (boot, ()),
    "costs": (costs, ()),
    "stage sick": (sick, ("sick", RESTART_LIMIT)),
    "stage raising": (sick, ("raising", 1)),
    "stage hanging": (sick, ("hanging", 1)),
}
