"""Simulated clients who go through the same script, runner and rules as real ones."""
