//go:build !race

package structure

// raceDetector tells that the race detector is on, which allocates for itself.
const raceDetector = false
