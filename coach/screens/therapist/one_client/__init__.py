"""The pages of one client: what is known, the course as plots, sessions as a list."""
