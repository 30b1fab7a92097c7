"""A replayed plan and compiled rules to findings, each with its witnesses."""
