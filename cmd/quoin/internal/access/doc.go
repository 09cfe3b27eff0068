// Package access decides who may do what: the partners of a plant with their
// roles and secrets, what proves that a request is theirs, how often they may
// ask, and to which hosts anything is sent.
//
// It fails closed: a request of nobody known is answered only where Open says
// that the service listens to its own machine alone.
package access
