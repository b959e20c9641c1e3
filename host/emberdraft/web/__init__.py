"""The page: a Starlette application (`app`) in front of one service and one store, and the server that runs it."""
