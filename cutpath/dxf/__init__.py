"""Cut files: written by ezdxf, audited, and read back by other code. Knows no stairs."""
