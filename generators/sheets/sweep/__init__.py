"""The sheet of a sweep: what each key does, and the front of the best."""
