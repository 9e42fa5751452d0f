"""A programme of several exercises, the sessions done of it, and who knew what when it was written."""
