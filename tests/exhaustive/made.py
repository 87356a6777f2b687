"""Settings for searches, checked as the board checks them, and their times in ticks as the requirements round them."""

from controller.packing import UNPACK_OK, pack, unpack
from controller.settings import Settings

# Times that force round down, times that permit or release round up; none is below two ticks.
FORCES = (
    "low_confirm warn_confirm sensor_confirm sensor_force supply_confirm link_degraded link_force signature_age "
    "lock_confirm"
).split()
PERMITS = "permit_confirm heal recover release_hold link_recover link_settle ground_clear coil".split()

# The shortest times that the checks accept, at the longest and at the default tick.
SHORT_50 = {
    "tick_ms": 50, "sensor_confirm_ms": 100, "sensor_force_ms": 100, "supply_confirm_ms": 100, "low_confirm_ms": 100,
    "warn_confirm_ms": 100, "permit_confirm_ms": 100, "heal_ms": 100, "recover_ms": 100, "release_hold_ms": 100,
    "link_degraded_ms": 100, "link_recover_ms": 100, "link_force_ms": 200, "link_settle_ms": 100, "switch_frames": 2,
    "signature_age_ms": 50, "ground_clear_ms": 100,
}  # fmt: skip
SHORT_20 = {
    "tick_ms": 20, "sensor_confirm_ms": 40, "sensor_force_ms": 100, "supply_confirm_ms": 40, "low_confirm_ms": 40,
    "warn_confirm_ms": 40, "permit_confirm_ms": 40, "heal_ms": 40, "recover_ms": 100, "release_hold_ms": 40,
    "link_degraded_ms": 40, "link_recover_ms": 40, "link_force_ms": 100, "link_settle_ms": 100, "switch_frames": 2,
    "signature_age_ms": 20, "ground_clear_ms": 40,
}  # fmt: skip


def settings_with(*several, **changes):
    """A Settings with the defaults, the dicts of `several` and `changes` over them, as a board would load it."""
    settings = Settings()
    for some in (*several, changes):
        for name, value in some.items():
            getattr(settings, name)
            setattr(settings, name, value)
    loaded = Settings()
    fault = unpack(pack(settings), loaded)
    assert fault == UNPACK_OK, f"these settings do not pass the checks: fault {fault}"
    return loaded


class Times:
    """Confirm times in ticks, by the rounding that the requirements state; attributes without the unit."""

    def __init__(self, settings):
        tick_ms = settings.tick_ms
        for name in FORCES:
            setattr(self, name, max(2, getattr(settings, f"{name}_ms") // tick_ms))
        for name in PERMITS:
            setattr(self, name, max(2, -(-getattr(settings, f"{name}_ms") // tick_ms)))
        self.run = settings.switch_frames


def code_for(mbar, settings, sensor="a"):
    """Lowest ADC code that reads at least `mbar`."""
    zero = getattr(settings, f"sensor_{sensor}_zero_counts")
    full = getattr(settings, f"sensor_{sensor}_full_counts")
    return zero - (-mbar * (full - zero) // getattr(settings, f"sensor_{sensor}_span_mbar"))
