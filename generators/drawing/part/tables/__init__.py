"""The tables of a part drawing: every hole, every corner, every bend; each size once."""
