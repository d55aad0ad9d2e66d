"""Pens, sheet sizes, furniture and dimensions: what every drawn page is made with."""
