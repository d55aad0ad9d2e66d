"""`form`: what is asked of a vehicle before a kit goes to it."""
