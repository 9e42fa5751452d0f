"""TOML files: reading with source positions, diagnostics, editing and safe writing; knows no other room."""
