"""A visit beside what was known before: what was done since, what was measured again, all of it in words."""
