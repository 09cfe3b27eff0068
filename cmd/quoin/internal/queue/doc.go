// Package queue is the life of a queue entry and of the queue it stands in, as
// the standard has it: which command is allowed when, what follows from it, and
// with which return code it is refused otherwise. It is pure: nothing is stored,
// nothing is told, there is no clock.
//
//	next, code := queue.Standing{State: queue.Waiting}.After(queue.Hold)
//
// The states are those of JMF. XJMF tells the same with a node status and an
// activation; Standing translates both ways.
package queue
