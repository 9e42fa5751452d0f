"""Every command with its line in `coach --help`, in that order, and the module below coach.commands that makes it.

One command needs one module: the others are not imported, and `coach --help` imports none of them.
"""

from collections.abc import Mapping
from typing import NamedTuple


class CommandEntry(NamedTuple):
    """The module of a command, and what the command does, in a few words."""

    module: str
    summary: str


COMMANDS: Mapping[str, CommandEntry] = {
    "session": CommandEntry("session", "run today's session"),
    "rehearse": CommandEntry("rehearse", "run through a session without recording it"),
    "practice": CommandEntry("rehearse", "practise the movement alone, without band or record"),
    "begin": CommandEntry("home.begin", "open today's session from a take-home folder"),
    "sound": CommandEntry("sound", "play the tones and words of a session"),
    "caseload": CommandEntry("caseload", "list the clients of a folder, most urgent first"),
    "preview": CommandEntry("preview", "show the next session as the client will see it"),
    "forecast": CommandEntry("forecast", "simulate the client's next twelve weeks"),
    "history": CommandEntry("history", "list every session with its decision and the reason"),
    "progress": CommandEntry("history", "show the client what was done and what has changed"),
    "measured": CommandEntry("measured", "read sets that a sensor on the forearm recorded"),
    "setup": CommandEntry("setup", "show the setup, the torque and the load ladder"),
    "bands": CommandEntry("bands", "show the client's bands, add a point, or measure a band again"),
    "intake": CommandEntry("intake", "take on a new client"),
    "visit": CommandEntry("visit", "see a client: measure again, note, answer what is due, sign"),
    "steer": CommandEntry("steer", "change what the client does next, and sign it"),
    "handout": CommandEntry("handout", "make a page to print and hang on the wall"),
    "take-home": CommandEntry("home.take_home", "make the folder that a client takes home"),
    "letter": CommandEntry("clinic.letter", "write a letter to the referrer, or results for the client"),
    "audit": CommandEntry("clinic.audit", "figures across all clients of a folder"),
    "export": CommandEntry("export", "export the plan and the history as FHIR or CSV"),
    "send": CommandEntry("exchange.send", "write a sealed file for the clinic, or for home"),
    "receive": CommandEntry("exchange.receive", "take sealed files in: who, what and what it changes come first"),
    "keys": CommandEntry("exchange.keys", "show and change the keys for files between home and clinic"),
    "backup": CommandEntry("backup", "back up one client, or a folder of clients"),
    "restore": CommandEntry("backup", "restore a backup into a new folder"),
    "upgrade": CommandEntry("upgrade", "move clients to the format of programmes"),
    "where": CommandEntry("home.where", "say which folder holds the clients of this computer"),
    "guide": CommandEntry("coach.guide", "explain how to write content, step by step"),
    "new": CommandEntry("coach.new", "begin an exercise, or a copy of the content"),
    "check": CommandEntry("coach.check", "check hand-written files"),
    "schema": CommandEntry("coach.check", "write the JSON Schemas of all hand-written files"),
    "proof": CommandEntry("coach.proof", "preview the client's screens while you edit the content"),
    "changed": CommandEntry("coach.changed", "show what an edit of the content changes, and for whom"),
    "hazards": CommandEntry("coach.hazards", "print the hazard log"),
}
# In the list of commands these share a line, so that it fits a terminal of 24 rows.
SELDOM = (
    *("begin", "practice", "sound", "forecast", "measured", "keys", "where", "upgrade"),
    *("schema", "changed", "hazards", "letter", "audit", "restore"),
)
