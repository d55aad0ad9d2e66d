"""The overview of a nest: a page for the job, a page for each sheet."""
