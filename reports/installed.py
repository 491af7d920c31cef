"""Which version of the tool is installed; looked up only when asked for, as it takes longer than a start should."""

NAME = "cornersweep"


def installed_version() -> str | None:
    """The version, None where the tool runs from its source and is not installed."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version(NAME)
    except PackageNotFoundError:
        return None
