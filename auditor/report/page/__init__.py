"""The audit as one page that needs nothing but itself: templates, and what they lay out."""
