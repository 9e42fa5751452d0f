"""The commands of the coach: the content checked, shown, compared, begun and explained."""
