"""The impure, thin shell: pages, sockets, disk and clock. Nothing here decides about teaching."""
