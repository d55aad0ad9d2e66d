"""Drawings of a part: flat and folded views, tables, the picture of a kind."""
