package floor

import (
	"context"
	"time"
)

// Clock is the time of the rehearsed works.
type Clock struct {
	start time.Time // on the wall
	base  time.Time // in the works at that moment
	speed float64
}

// NewClock begins at a moment of the works, so many times as fast as the clock
// on the wall.
func NewClock(base time.Time, speed float64) Clock { return Clock{time.Now(), base, speed} }

// Now is the time in the works.
func (c Clock) Now() time.Time {
	return c.base.Add(time.Duration(float64(time.Since(c.start)) * c.speed))
}

// Wall is how long a time of the works takes on the wall.
func (c Clock) Wall(d time.Duration) time.Duration { return time.Duration(float64(d) / c.speed) }

// Wait waits until a moment of the works has come. It reports false when the
// context ends before, or something comes on the channel, which may be nil.
func (c Clock) Wait(ctx context.Context, until time.Time, interrupt <-chan struct{}) bool {
	timer := time.NewTimer(c.Wall(until.Sub(c.Now())))
	defer timer.Stop()
	select {
	case <-timer.C:
		return true
	case <-ctx.Done():
	case <-interrupt:
	}
	return false
}

// next is the first whole second from a moment on.
func next(t time.Time) time.Time {
	if s := t.Truncate(time.Second); s.Before(t) {
		return s.Add(time.Second)
	}
	return t
}
