"""The error that says the program was asked for what it does not do."""


class UsageError(Exception):
    """What was asked for is not understood, or not to be had; the message says so and a remedy.

    The base of every such error, so that whoever only tells them need not import their homes.
    """
