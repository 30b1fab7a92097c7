"""What happens when set, bench or operator are at fault: every usual fault against every step of a plan."""
