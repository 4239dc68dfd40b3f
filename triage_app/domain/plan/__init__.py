"""The plan: findings -> operations -> order and cost, and the tests on which a decision hinges.

Pure. One question runs through it: over all outcomes of the tests that are still outstanding,
what can the repair cost, and is the decision the same whatever comes out?
"""
