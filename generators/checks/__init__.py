"""Rules of the trade as pure functions: plan or layout in, findings out; no kernel, no files."""
