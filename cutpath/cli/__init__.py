"""The command line: arguments, printing, exit status. Everything else is the library's."""
