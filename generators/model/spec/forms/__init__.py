"""Tables that say in which other forms a job is wanted."""
