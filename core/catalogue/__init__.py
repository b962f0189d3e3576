"""Parts to choose from: the parts file, and the invented parts that come with the tool."""
