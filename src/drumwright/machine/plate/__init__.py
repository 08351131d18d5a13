"""Follower plate and seal: force, feed, end gap, residue."""
