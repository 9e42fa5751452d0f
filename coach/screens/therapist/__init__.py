"""The therapist's screens: the caseload, one client, instructions, and a preview of the client's session."""
