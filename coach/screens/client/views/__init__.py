"""The widgets that draw the pages of a session, and the choice of the widget for a page."""
