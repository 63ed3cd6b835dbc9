"""What keeps the program going: jobs, the audit chain, limits on rates, times of retention."""
