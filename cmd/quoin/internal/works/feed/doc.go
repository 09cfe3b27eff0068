// Package feed tells those who follow what changes in a store, as server-sent events:
// the one loop behind the board and the API.
package feed
