"""One document model; terminal, JSON, PDF, drawings."""
