"""Issue letters: where they are kept, what they stand for, and whether a job is what its letter says."""
