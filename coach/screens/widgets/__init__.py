"""Widgets that draw a frozen value."""
