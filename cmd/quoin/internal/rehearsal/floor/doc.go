// Package floor plays the machines of a plant online: each is a peer of HTTP of
// its own, at a path of its own, that takes tickets into its queue, answers
// queries and commands, sends signals to who subscribed, and returns the tickets
// with audits. All runs against a clock that can be much faster than that on
// the wall, and the machines misbehave when they are told to.
//
// Machines work round the clock here: shifts would only make the rehearsal stand
// still. Outgoing connections go to one host alone.
package floor
