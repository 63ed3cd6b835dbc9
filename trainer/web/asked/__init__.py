"""The pages of tasks that ask: short questions, a board to inspect, readings to judge."""
