"""What a coach needs to write content: every check, drafts, schemas, reading ease."""
