"""The document: text with places to a checked plan. It knows no bench and no rules."""
