"""Pump families behind one small interface."""
