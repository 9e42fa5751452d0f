"""TOML files: reading with source positions, diagnostics, editing and safe writing; independent of the other rooms."""
