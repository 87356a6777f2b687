"""The version of what is running."""

from importlib import metadata


def version():
    """Version of the installed package, or a word that says there is none."""
    try:
        return metadata.version("downlock")
    except metadata.PackageNotFoundError:
        return "from its source folder"
