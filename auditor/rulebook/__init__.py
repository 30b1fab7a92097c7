"""Rule files to compiled rules. A rule that cannot be used is an error with its place, never silently skipped."""
