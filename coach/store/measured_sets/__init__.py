"""The files of measured sets, and what follows from them for one client."""
