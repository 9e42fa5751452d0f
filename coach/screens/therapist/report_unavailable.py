"""The error of a report that cannot be made."""


class ReportUnavailable(Exception):
    """Something about a client cannot be shown; the message is the one that the command line would print."""
