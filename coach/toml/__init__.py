"""TOML files: reading with source positions, diagnostics, editing and safe writing; imports no other package of the program."""
