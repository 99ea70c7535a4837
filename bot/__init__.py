"""Warmheap: compost advice by SMS and chat."""
