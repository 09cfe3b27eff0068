// Package desk is where tickets of the service are worked on: it opens what came in,
// checks it with the engine by the profiles and the plant, plans it, lays it on the
// machines, and writes the tickets for them.
package desk
