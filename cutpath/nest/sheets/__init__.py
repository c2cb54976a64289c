"""The nest on sheets: panels and plates, parts cut all round."""
