"""Where traces, pages and pictures of flights go: one file, or a folder with one file a scenario."""

from dataclasses import dataclass
from pathlib import Path

from .errors import InputError

ENDINGS = {"trace": ".csv", "report": ".html", "plot": ".png"}


@dataclass(frozen=True)
class Targets:
    """Paths given for --trace, --report and --plot, or None. `many` says that several scenarios are flown.

    With one scenario a path is a file, or a folder that exists. With several it is a folder, made where there is none;
    the files in it are named after their scenarios.
    """

    trace: str | None
    report: str | None
    plot: str | None
    many: bool

    def check(self):
        """Raise InputError for a path that cannot be written, before anything is flown."""
        for kind, path in self._given():
            option = f"--{kind} {path}"
            if self.many:
                self._check_folder(option, Path(path), ENDINGS[kind])
            elif not Path(path).is_dir() and not Path(path).absolute().parent.is_dir():
                raise InputError(option, "", f"the folder '{Path(path).parent}' does not exist")

    @staticmethod
    def _check_folder(option, path, ending):
        if path.is_file() or path.suffix == ending:
            raise InputError(option, "", f"names one file; with several scenarios name a folder for the {ending} files")
        try:
            path.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise InputError(option, "", f"the folder cannot be made: {error.strerror}") from None

    def write(self, flown):
        """Write what is wanted of a Flown; returns the paths written. Raises InputError where one cannot be."""
        written = []
        for kind, path in self._given():
            target = Path(path)
            if target.is_dir():
                target = target / (flown.scenario.name + ENDINGS[kind])
            try:
                _WRITERS[kind](flown, target)
            except OSError as error:
                raise InputError(f"--{kind} {target}", "", f"cannot be written: {error.strerror or error}") from None
            written.append(target)
        return written

    def _given(self):
        given = (("trace", self.trace), ("report", self.report), ("plot", self.plot))
        return [(kind, path) for kind, path in given if path is not None]


# The drawing libraries take a second to load: only when a picture is wanted.
def _write_trace(flown, path):
    flown.trace.write_csv(path)


def _write_report(flown, path):
    from .report import write_report

    write_report(flown, path)


def _write_plot(flown, path):
    from .plots import write_plot

    write_plot(flown.picture, path)


_WRITERS = {"trace": _write_trace, "report": _write_report, "plot": _write_plot}
