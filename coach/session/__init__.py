"""Sessions: the script, the runner that follows it, and what is derived from both.

Pure: time and random numbers are passed in.
"""
