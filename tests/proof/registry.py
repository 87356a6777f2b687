"""Every proof by name, in the order in which they are printed."""

from . import judge_proof, persist_proof
from .test_channel_proof import prove_channel
from .test_gear_proof import prove_gear
from .test_interlock_proof import prove_interlock

PROOFS = {
    "persist": persist_proof.prove_persist,
    "persist, reset": persist_proof.prove_persist_reset,
    "steady": persist_proof.prove_steady,
    "consecutive": persist_proof.prove_consecutive,
    "channel, signature on 0": lambda: prove_channel(0),
    "channel, signature on 4": lambda: prove_channel(4),
    "judge": judge_proof.prove_judge,
    "judge, at boot": judge_proof.prove_judge_at_boot,
    "gear": prove_gear,
    "second path, 1 sensors": lambda: prove_interlock(1),
    "second path, 2 sensors": lambda: prove_interlock(2),
}
