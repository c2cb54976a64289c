"""From a job to boards, each stage in turn. Nothing is read or written here."""
