"""Commands over several states of a job."""
