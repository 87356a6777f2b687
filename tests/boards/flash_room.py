"""How long the journal's flash lasts: room, what is erased ahead, and wear, for the flash sizes of both boards.

Sizes of the chips, their firmware and the number of erases that a sector stands (100,000) are from memory.
"""

from dataclasses import dataclass

from boards.common.flashlog import FLIGHT_RECORDS, RESERVE_SECTORS, ahead_for
from boards.common.flashlog_format import RECORDS_A_SECTOR, SECTOR_BYTES, sectors_for

ERASES = 100_000
SAMPLES_UP_A_S = 10
SAMPLES_REST_A_S = 1
ERASE_S = (0.045, 0.4)


@dataclass(frozen=True)
class Layout:
    """Where a board's flash goes, in kB of 1024 bytes."""

    name: str
    flash_kb: int
    firmware_kb: int
    files_kb: int
    journal_kb: int

    @property
    def n_sectors(self):
        """Sectors of the ring."""
        return self.journal_kb * 1024 // SECTOR_BYTES


LAYOUTS = (
    Layout("RP2040, 2 MB", 2048, 640, 240, 1168),
    Layout("ESP32, 4 MB", 4096, 2048, 256, 1792),
)


def flight_records(up_s, rest_s, events):
    """Records of a flight: seconds with the gear up or moving, seconds at rest, events."""
    return up_s * SAMPLES_UP_A_S + rest_s * SAMPLES_REST_A_S + events


def full_rate_s(n_sectors):
    """Seconds at ten samples a second, with an event every six seconds, before samples are thinned."""
    ahead = ahead_for(n_sectors)
    reserve = min(RESERVE_SECTORS, n_sectors // 8)
    return (ahead - reserve) * RECORDS_A_SECTOR / (SAMPLES_UP_A_S + 1 / 6)


def lasts_s(n_sectors):
    """Seconds until nothing erased is left, the last ones with one sample a second."""
    reserve = min(RESERVE_SECTORS, n_sectors // 8)
    return full_rate_s(n_sectors) + reserve * RECORDS_A_SECTOR / (SAMPLES_REST_A_S + 1 / 6)


def wear_years(n_sectors, records_a_flight, flights_a_year):
    """Years until the most worn sector has been erased ERASES times. Every sector is erased once a lap."""
    sectors_a_year = sectors_for(records_a_flight) * flights_a_year
    return ERASES * n_sectors / sectors_a_year


def room_table():
    """The figures as lines of text."""
    flight = flight_records(600, 1200, 300)
    lines = [
        f"Two hours at 10 samples a second and an event every 6 s: {FLIGHT_RECORDS} records, "
        f"{sectors_for(FLIGHT_RECORDS)} sectors, {sectors_for(FLIGHT_RECORDS) * 4} kB",
        f"A flight of 10 minutes with the gear up, 20 at rest, 300 events: {sectors_for(flight)} sectors, "
        f"erased in {sectors_for(flight) * ERASE_S[0]:.1f} s, at most {sectors_for(flight) * ERASE_S[1]:.0f} s",
        "board         journal  sectors  two hours fit  kept  ahead  at 10/s  then 1/s until  1,000 flights a year wear out",
    ]
    for one in LAYOUTS:
        n = one.n_sectors
        fit = "yes" if n >= sectors_for(FLIGHT_RECORDS) else "no"
        lines.append(
            f"{one.name:<13} {one.journal_kb:>4} kB {n:>8}  {fit:<13} {n - ahead_for(n):>5} {ahead_for(n):>6} "
            f"{full_rate_s(n) / 60:>4.0f} min {lasts_s(n) / 60:>11.0f} min  {wear_years(n, flight, 1000):,.0f} years"
        )
    return lines
