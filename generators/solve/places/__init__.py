"""Where bulkheads and clamps are best, so that hoses are shortest."""
