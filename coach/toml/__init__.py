"""TOML files: reading with source positions, diagnostics, editing and safe writing, for any program."""
