"""One module a verb: `add_arguments(parser)` and `main(args) -> exit code`."""
