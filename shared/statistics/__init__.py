"""Probability without the trade: normal distribution, linear algebra, starts for a yield, counting
by weight.
"""
