//go:build !linux

package jdf

// inHugePages does nothing where the system is not asked for pages.
func inHugePages[T any]([]T) {}
