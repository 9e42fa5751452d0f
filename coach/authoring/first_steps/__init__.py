"""For who begins: the guide, a copy of the content, and the files of a new exercise."""
