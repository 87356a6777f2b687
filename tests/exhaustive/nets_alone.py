"""Each path alone, the other replaced by any function (SR-10, SR-11), and the mode logic on its facts alone."""

from controller.codes import N_CAUSES
from controller.facts import Facts
from controller.gear import Gear
from controller.limits import Limits

from .made import Times
from .moves import Move, Port
from .nets_air import Air
from .nets_channel import Channel
from .nets_flight import Path, Witnesses
from .network import Letter, Network, product
from .parts import Part, public
from .see_facts import Rules


def mode_logic_alone(name, settings, letters):
    """The second path's leave is a free letter; what the mode logic wants is the command."""
    path, seen = Path(settings), Witnesses(settings, spare=0)
    leave = [Letter("", **{"second.leave": 1}), Letter("the second path gives no leave", **{"second.leave": 0})]
    wire = Part("wire", {"wire": path.wire})

    def out(wanted):
        path.wire.set(wanted)
        return (wanted,)

    moves = [
        seen.first(),
        Channel(settings).move(),
        Air(settings).move(),
        Move(wire, lambda: (path.wire.command,), (), (), ("before",)),
        *path.mode_moves(),
        Move(wire, out, ("wanted",), (), ("after",)),
        *seen.last(veto=False),
    ]
    return Network(name, product(leave, letters), moves)


def second_path_alone(name, settings, letters):
    """What the mode logic wants is a free letter; nothing is latched, so only SR-08, SR-10 and SR-11 are asked."""
    path, seen = Path(settings), Witnesses(settings, spare=0)
    # A wish that is dropped is no fall of SR-09's, so causes stand for it: 512 is no cause's bit.
    wishes = [
        Letter("the mode logic wants UP", wanted=1, causes=0),
        Letter("the mode logic wants DOWN", wanted=0, causes=0),
    ]
    moves = [
        seen.first(),
        Channel(settings).move(),
        Air(settings).move(),
        path.second_move(),
        path.gate_move("wanted"),
        *seen.second_only(),
    ]
    return Network(name, product(wishes, letters), moves)


def fact_letters(settings, causes):
    """Facts as Judge may hand them over: link, frame, each permit missing in turn, each of `causes` there or not."""
    permits = (
        "settings_ok wiring_ok pressure_known sensors_agree air_ok not_charging supply_ok ground_clear leave"
    ).split()
    fine = {f"facts.{name}": 1 for name in permits}
    frames = [
        Letter("no frame", **{"facts.frame": 2, "facts.down_run": 0, "facts.up_done": 0}),
        Letter("frame DOWN", **{"facts.frame": 0, "facts.down_run": 0, "facts.up_done": 0}),
        Letter("run to DOWN", **{"facts.frame": 0, "facts.down_run": 1, "facts.up_done": 0}),
        Letter("frame UP", **{"facts.frame": 1, "facts.down_run": 0, "facts.up_done": 0}),
        Letter("move to UP completes", **{"facts.frame": 1, "facts.down_run": 0, "facts.up_done": 1}),
    ]
    link = [Letter("", **{"facts.link_good": 1}), Letter("link not good", **{"facts.link_good": 0})]
    allowed = [Letter("", **fine)] + [Letter(f"{name} missing", **{**fine, f"facts.{name}": 0}) for name in permits]
    groups = [_cause_letters(cause) for cause in causes]
    quiet = Letter("")
    for cause in range(N_CAUSES):
        if cause not in causes:
            quiet |= _cause_letters(cause)[0]
    # Permits matter in the tick of a move only, causes in every tick: both at once is asked with one permit missing.
    return product([quiet], link, frames, allowed[:1], *groups) + product(
        [quiet], link, frames[-1:], allowed[1:], *[group[:1] for group in groups]
    )


def _cause_letters(cause):
    def letter(words, present, absent):
        return Letter(words, **{f"facts.present[{cause}]": present, f"facts.absent[{cause}]": absent})

    letters = [letter("", 0, 1), letter(f"cause {cause} holds", 1, 0), letter(f"cause {cause} not known", 0, 0)]
    # Cause 6 goes with waking; 1, 2, 7 and 8 are never known absent.
    if cause == 6:
        return letters[:2]
    if cause in (1, 2, 7, 8):
        return [letters[2], letters[1]]
    return letters


def gear_alone(name, settings, causes=(0, 1, 6)):
    limits = Limits(settings)
    gear, facts = Gear(limits, settings.switch_frames, 0), Facts()
    rules = Rules(Times(settings))
    part = Part("gear", {"gear": gear}, (limits,))
    watcher = Part("rules", {"rules": rules}, (rules.t,))

    def decide():
        wanted = gear.step(facts)
        return wanted, sum(bit << cause for cause, bit in enumerate(gear.latched))

    seen = Facts()
    moves = [
        Move(part, decide, (), [Port("facts", facts)], ("after", "causes"), public("gear", gear)),
        Move(watcher, lambda after, causes, refusal: rules.see(seen, after, causes, refusal),
             ("after", "causes", "gear.refusal"), [Port("facts", seen)], verdict=True),
    ]  # fmt: skip
    return Network(name, fact_letters(settings, causes), moves)
