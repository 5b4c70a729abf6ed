"""The one error this folder raises: a sentence fit to show to the person who typed."""


class CraftError(ValueError):
    """A value the arithmetic cannot use; ``str(error)`` is one clear sentence saying what to type."""
