"""The electrical model of the bench: one topic a module, a pure function for each formula. Knows no plan and no rules."""
