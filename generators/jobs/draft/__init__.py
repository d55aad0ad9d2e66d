"""``draft``: pictures of a job as it stands, whatever the rules say."""
