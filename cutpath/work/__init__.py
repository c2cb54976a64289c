"""What is cut, marked and said on every part, board and set-up: made once, for files, pictures and lists alike."""
