"""Measurements that anybody can print again; see README.md in this folder."""
