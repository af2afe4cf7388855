"""The start path: makes the environment, then starts the demo, tests or installation. Standard library only."""
