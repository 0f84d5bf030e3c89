//go:build !race

package worker

const raceDetector = false
