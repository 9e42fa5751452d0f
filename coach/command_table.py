"""Every command with its line in `coach --help`, in that order, and the module below coach.commands that makes it.

One command needs one module: the others are not imported, and `coach --help` imports none of them.
"""

from collections.abc import Mapping
from typing import NamedTuple


class Command(NamedTuple):
    """The module of a command, and what the command does, in a few words."""

    module: str
    summary: str


COMMANDS: Mapping[str, Command] = {
    "session": Command("session", "run today's session"),
    "rehearse": Command("session", "run through today's session without recording it"),
    "practice": Command("session", "practise the movement alone, without band or record"),
    "begin": Command("home.begin", "open today's session from a take-home folder"),
    "sound": Command("sound", "play the tones and words of a session"),
    "caseload": Command("caseload", "list the clients of a folder, most urgent first"),
    "preview": Command("preview", "show the next session as the client will see it"),
    "forecast": Command("forecast", "simulate the client's next twelve weeks"),
    "history": Command("history", "list every session with its decision and the reason"),
    "progress": Command("history", "show the client what was done and what has changed"),
    "measured": Command("measured", "read sets that a sensor on the forearm recorded"),
    "setup": Command("setup", "show the setup, the torque and the load ladder"),
    "bands": Command("bands", "show the client's bands, add a point, or measure a band again"),
    "intake": Command("intake", "take on a new client"),
    "visit": Command("visit", "see a client: measure again, note, answer what is due, sign"),
    "steer": Command("steer", "change what the client does next, and sign it"),
    "handout": Command("handout", "make a page to print and hang on the wall"),
    "take-home": Command("home.take_home", "make the folder that a client takes home"),
    "letter": Command("clinic.letter", "write a letter to the referrer, or results for the client"),
    "audit": Command("clinic.audit", "figures across all clients of a folder"),
    "export": Command("export", "export the plan and the history as FHIR or CSV"),
    "send": Command("exchange.send", "write a sealed file for the clinic, or for home"),
    "receive": Command("exchange.receive", "take sealed files in: who, what and what it changes come first"),
    "keys": Command("exchange.keys", "show and change the keys for files between home and clinic"),
    "backup": Command("backup", "back up one client, or a folder of clients"),
    "restore": Command("backup", "restore a backup into a new folder"),
    "upgrade": Command("upgrade", "move clients to the format of programmes"),
    "where": Command("home.where", "say which folder holds the clients of this computer"),
    "guide": Command("coach.guide", "explain how to write content, step by step"),
    "new": Command("coach.new", "begin an exercise, or a copy of the content"),
    "check": Command("coach.check", "check hand-written files"),
    "schema": Command("coach.check", "write the JSON Schemas of all hand-written files"),
    "proof": Command("coach.proof", "preview the client's screens while you edit the content"),
    "changed": Command("coach.changed", "show what an edit of the content changes, and for whom"),
    "hazards": Command("coach.hazards", "print the hazard log"),
}
# In the list of commands these share a line, so that it fits a terminal of 24 rows.
SELDOM = (
    *("begin", "practice", "sound", "forecast", "measured", "keys", "where", "upgrade"),
    *("schema", "changed", "hazards", "letter", "audit", "restore"),
)
