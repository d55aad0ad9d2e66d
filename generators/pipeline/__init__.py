"""From a spec to findings, files, read-back and manifest; the only place that decides to stop."""
