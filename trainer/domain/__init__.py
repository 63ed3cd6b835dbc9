"""The trade inside the program: installations, limits, rules, physics, generation and marking.

Nothing here reads files at call time, asks the clock or draws from global randomness.
"""
