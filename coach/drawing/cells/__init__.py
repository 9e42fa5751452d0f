"""Drawings in terminal cells: a picture drawn large, and for each cell the sign that comes nearest to it."""
