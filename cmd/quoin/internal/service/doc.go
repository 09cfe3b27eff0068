// Package service is the running service: it wires the store, the desk at which
// tickets are checked and planned, the office that answers messages, the outbox,
// the hot folders and the HTTP server, and keeps them going until its context ends.
//
// What others add to it (an API, a board, alerts) comes in as an Addition: it gets
// the Parts, mounts its handlers behind Parts.Guard, and may bring handlers of
// chores and work in the background.
package service
