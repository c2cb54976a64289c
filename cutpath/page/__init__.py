"""The live page of one job: a form, its file's text, and the stair that they come to. The command `serve` starts it."""
