"""What the marks of a group say of the items of a paper, and of the paper."""
