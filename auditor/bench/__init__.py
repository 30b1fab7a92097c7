"""The bench: what each step does to it, and what can be said of it at every step. It knows no rules."""
