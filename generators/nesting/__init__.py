"""Blanks on the shop's sheets: where each lies, what is left, what the cutting takes and costs."""
