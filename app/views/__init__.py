"""The views: each draws a result, and sends every edit through the document."""
