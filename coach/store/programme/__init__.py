"""The files of a programme: versions, instructions, by whom they were written; and how a client gets there."""
