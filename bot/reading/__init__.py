"""Text to meaning: word lists in, `Meaning` out. Pure, apart from loading the lists."""
