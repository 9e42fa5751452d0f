"""What the therapist looks at on screen: the caseload, one client, the session as the client will see it."""
