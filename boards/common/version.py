"""The version of the files on a board: major, minor, patch. A test compares it with the package's."""

VERSION = bytes((0, 1, 0))
