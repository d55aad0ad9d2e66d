"""The hoses of a job: routes, lengths, order of work, findings."""
