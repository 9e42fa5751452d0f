"""Between home and clinic: keys, sealed files, and what is sent and taken."""
