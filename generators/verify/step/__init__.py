"""Finished STEP files read back."""
