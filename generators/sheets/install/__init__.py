"""The install sheet: steps in an order that works."""
