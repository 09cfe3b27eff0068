// Package diff tells what changed between two tickets, of the same generation or
// of different ones, in the words of the trade: amount, stock, colours, sizes,
// dates, steps. It compares what the tickets say, not how they are written.
package diff
