//go:build !race && !checker

package main

// raceDetector says that the tests run under the race detector.
const raceDetector = false
