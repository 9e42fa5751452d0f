"""The progression: what happened in, one decision out, with its rule, its numbers and its reason."""
