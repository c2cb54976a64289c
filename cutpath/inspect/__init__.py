"""DXF files that anybody may have written, read as a machine would: what is wrong with them, and mending that."""
