"""The head of a job, and in which other forms it is wanted."""
