//go:build race

package main

// raceDetector says that the tests run under the race detector.
const raceDetector = true
