"""Bodies that the engineer brings: triangles of a scan, labels of a segmented image."""
