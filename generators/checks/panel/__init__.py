"""Rules on what lies on a panel."""
