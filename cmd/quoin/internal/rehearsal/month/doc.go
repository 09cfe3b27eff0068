// Package month rehearses a plant offline: it makes up the orders of some
// weeks, plans them, plays them on the machines, and writes the orders, the
// plans and what the machines would have sent back into a folder, with the
// truth beside them.
package month
