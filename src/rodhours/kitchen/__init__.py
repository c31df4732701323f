"""Batches of baits: quantities, lift, ledger and what differs between recipes."""
