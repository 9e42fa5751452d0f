"""TOML files: reading with source positions, diagnostics, editing and safe writing. Knows nothing of clients."""
