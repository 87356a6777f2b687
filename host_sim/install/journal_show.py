"""A fetched journal as people read it: boots, what happened in them with times, samples in a few lines; or a table."""

import csv
import textwrap

from controller import codes
from controller.codes import CAUSE_UNITS, REFUSAL_AIR, REFUSAL_SUPPLY
from controller.frames import ABSENT, NOT_KNOWN
from controller.journal import (
    KIND_ALERT,
    KIND_BOOT,
    KIND_CAUSE,
    KIND_COMMAND,
    KIND_LATE,
    KIND_LINK,
    KIND_MODE,
    KIND_REFUSAL,
    KIND_SAMPLE,
    KIND_WORDS,
)

from ..errors import InputError
from ..journal_read import boots, gaps
from ..quantities import show_pressure
from ..wording import BAR_PER_MBAR, in_unit, severity_of, show_difference

SAMPLE = KIND_WORDS[KIND_SAMPLE]
# The kinds whose code has words of its own.
_CODES = {
    KIND_WORDS[KIND_BOOT]: codes.SETTINGS_WORDS,
    KIND_WORDS[KIND_MODE]: codes.MODE_WORDS,
    KIND_WORDS[KIND_CAUSE]: codes.CAUSE_WORDS,
    KIND_WORDS[KIND_REFUSAL]: codes.REFUSAL_WORDS,
    KIND_WORDS[KIND_ALERT]: codes.ALERT_WORDS,
    KIND_WORDS[KIND_LINK]: codes.LINK_WORDS,
    KIND_WORDS[KIND_COMMAND]: codes.POSITION_WORDS,
}


def show_lines(path, records, unit, width=100):
    """Lines for a terminal, of records as journal_read.load_journal gives them (at least one)."""
    split = boots(records)
    missing = sum(gap.count for gap in gaps(records))
    lines = [f"{path}: {len(records)} records of {len(split)} boot{'s' if len(split) > 1 else ''}, {missing} missing"]
    lines.append(f"Times since the boot (h:mm:ss). Pressures in {unit} gauge.")
    for one in split:
        lines += ["", *_boot_lines(one, unit, width)]
    return lines


def _boot_lines(records, unit, width):
    run = records[0].run
    name = f"Boot {run.boot}" if run.boot else "A boot whose beginning is lost"
    told = f", version {run.version}" if run.version else ""
    lines = [f"{name}{told}, settings {checksum(run)}, {clock(records[-1].time_s)} long, {len(records)} records"]
    for record in records:
        if record.lost_before:
            first = record.number - record.lost_before
            lines.append(f"{'':>10}  -- {record.lost_before} records missing, from number {first} on --")
        if record.kind != SAMPLE:
            body = f"{sentence(record, unit)} [{_air(record.pressure_mbar, unit)}]"
            lines += textwrap.wrap(
                body, width, initial_indent=f"{clock(record.time_s):>10}  ", subsequent_indent=" " * 12
            )
    return lines + _sample_lines([record for record in records if record.kind == SAMPLE], unit)


def _sample_lines(samples, unit):
    if not samples:
        return ["  no samples"]
    known = [record for record in samples if record.pressure_mbar != NOT_KNOWN]
    lines = [f"  {len(samples)} samples, {clock(samples[0].time_s)} to {clock(samples[-1].time_s)}"]
    if known:
        least = min(known, key=lambda record: record.pressure_mbar)
        most = max(known, key=lambda record: record.pressure_mbar)
        lines.append(
            f"  pressure    first {_air(known[0].pressure_mbar, unit)}, last {_air(known[-1].pressure_mbar, unit)}, "
            f"lowest {_air(least.pressure_mbar, unit)} at {clock(least.time_s)}, highest {_air(most.pressure_mbar, unit)}"
        )
    if len(known) < len(samples):
        lines.append(f"  pressure not known in {len(samples) - len(known)} samples")
    supply = [record for record in samples if record.value > 0]
    if supply:
        least = min(supply, key=lambda record: record.value)
        lines.append(f"  supply      lowest {least.value / 1000:.2f} V at {clock(least.time_s)}")
    return lines


def sentence(record, unit):
    """What one record says."""
    kind, word = record.kind, code_word(record)
    known = record.kind in _CODES and record.code < len(_CODES[record.kind])
    if kind == KIND_WORDS[KIND_BOOT]:
        return f"Starts: settings {word}; restarts with power on before it: {record.value}."
    if kind == KIND_WORDS[KIND_MODE]:
        return f"Mode {word}: {codes.MODE_SENTENCES[record.code]}" if known else f"Mode {word}."
    if kind == KIND_WORDS[KIND_CAUSE]:
        return f"Gear held down, {word}: {_cause(record, unit)}" if known else f"Gear held down, {word}."
    if kind == KIND_WORDS[KIND_REFUSAL]:
        return _refusal(record, unit) if known else f"Retraction refused, {word}."
    if kind == KIND_WORDS[KIND_ALERT]:
        if not record.code:
            return "No alert any more."
        return (
            f"Alert '{word}' ({severity_of(word)}): {codes.ALERT_SENTENCES[record.code]}" if known else f"Alert {word}."
        )
    if kind == KIND_WORDS[KIND_LINK]:
        return f"Link {word}."
    if kind == KIND_WORDS[KIND_LATE]:
        return f"A tick ran {record.value} ms late."
    if kind == KIND_WORDS[KIND_COMMAND]:
        return f"Gear command {word}."
    return f"{kind}: code {record.code}, value {record.value}."


def _cause(record, unit):
    text, of = codes.CAUSE_SENTENCES[record.code].rstrip("."), CAUSE_UNITS[record.code]
    bar = record.value * BAR_PER_MBAR
    if of == "mbar" and record.code == codes.CAUSE_LOW_AIR:
        return f"{text}: the sensor read {show_pressure(bar, unit)}."
    if of == "mbar":
        return f"{text}: {show_difference(abs(bar), unit)} gone."
    if of == "mbar/s":
        return f"{text}: falling at {show_difference(abs(bar), unit)} a second."
    if of == "grade" and 0 < record.value < len(codes.GRADE_WORDS):
        return f"{text}: sensor {codes.GRADE_WORDS[record.value]}."
    if of == "mV":
        return f"{text}: {record.value / 1000:.2f} V."
    if of == "ms":
        return f"{text}: {record.value} ms."
    return f"{text}."


def _refusal(record, unit):
    text = codes.REFUSAL_SENTENCES[record.code].rstrip(".")
    if record.code == REFUSAL_AIR and record.value >= 0:
        return f"{text}: the sensor read {show_pressure(record.value * BAR_PER_MBAR, unit)}."
    if record.code == REFUSAL_SUPPLY and record.value >= 0:
        return f"{text}: {record.value / 1000:.2f} V."
    return f"{text}."


def code_word(record):
    """The word of a record's code, or its number where there is none."""
    words = _CODES.get(record.kind, ())
    return words[record.code] if record.code < len(words) else f"code {record.code}"


def checksum(run):
    """The checksum of a boot's settings, as `downlock settings` prints it; "none valid" without one."""
    number = bytes.fromhex(run.fingerprint)[::-1].hex()
    return f"checksum {number}" if number.strip("0") else "none valid"


def clock(seconds):
    """h:mm:ss.s since the boot."""
    tenths = round(seconds * 10)
    return f"{tenths // 36000}:{tenths // 600 % 60:02d}:{tenths // 10 % 60:02d}.{tenths % 10}"


def _air(mbar, unit):
    return "not known" if mbar == NOT_KNOWN else show_pressure(mbar * BAR_PER_MBAR, unit)


def write_csv(path, records, unit):
    """Every record in a row. Raises InputError where the file cannot be written."""
    head = (
        "boot",
        "number",
        "lost_before",
        "time_s",
        "tick",
        "kind",
        "code",
        "word",
        "value",
        f"pressure_{unit}_gauge",
    )
    head += ("mode", "command", "link", "switch", "tick_ms", "version", "settings")
    try:
        with open(path, "w", newline="", encoding="utf-8") as file:
            table = csv.writer(file)
            table.writerow(head)
            table.writerows(_row(record, unit) for record in records)
    except OSError as error:
        raise InputError(f"--csv {path}", "", f"cannot be written: {error.strerror or error}") from None


def _row(record, unit):
    run = record.run
    pressure = in_unit(None if record.pressure_mbar == NOT_KNOWN else record.pressure_mbar * BAR_PER_MBAR, unit)
    value = "" if record.kind == SAMPLE and record.value == ABSENT else record.value
    return (
        run.boot,
        record.number,
        record.lost_before,
        f"{record.time_s:.3f}",
        record.tick,
        record.kind,
        record.code,
        code_word(record) if record.kind in _CODES else "",
        value,
        "" if pressure is None else f"{pressure:.4f}",
        codes.MODE_WORDS[record.mode],
        codes.POSITION_WORDS[record.command],
        codes.LINK_WORDS[record.link],
        codes.POSITION_WORDS[record.switch],
        run.tick_ms,
        run.version,
        checksum(run),
    )
