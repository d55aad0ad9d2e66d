"""Pictures of a job as it stands, whatever the rules say of it: reduced, and marked as drafts."""
