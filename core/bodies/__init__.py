"""The constructions: how cloth becomes walls and a bottom. One folder or file each."""
