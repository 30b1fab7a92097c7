"""The bench sheet: the page to take along, made for paper."""
