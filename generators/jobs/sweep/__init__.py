"""`sweep`: a job solved with many values of a few keys."""
