"""Keeping it whole: codes on slips and bags, how to collect, pack and post. Plain data and functions."""
