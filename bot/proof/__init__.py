"""Reads every message in every language as a careful printer reads proofs, before farmers do."""
