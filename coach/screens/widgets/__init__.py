"""Widgets that the screens of several roles share."""
