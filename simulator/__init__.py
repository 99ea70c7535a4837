"""A phone to try Warmheap with: a page in the browser, and the same in plain text (`talk`)."""
