"""The calculation core: from what lies in the yard to compost on the field. Pure; see README.md."""
