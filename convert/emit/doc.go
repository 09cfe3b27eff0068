// Package emit writes a plan as tickets for the devices, in the generation that
// is asked for: one XJDF for every operation, or one JDF 1.x tree that holds all
// of them. Either says the device, the times, the materials, what comes in and
// goes out and the parameters of the process; read back, both say the same.
// Beside the tickets stands a summary of each operation for its operator, in
// plain text.
//
// The XJDF tickets are linked by the ExternalID of the components that go from
// one to the next. In the tree the nodes share the resources in the pool of the
// root, which is a group of processes and not the product: what a plan keeps of
// the customer's order is not all of it, and the order stays with its own ticket.
//
// Left out is what a plan does not know: the files of the artwork, which the
// tree marks as incomplete for prepress to add; the pages of each position,
// beyond the fold scheme and the pages of the section; and the shape that a die
// cuts. Presets of ink zones are written where the ticket told the coverage and
// the plant the zones of the press; they are of the mean of each piece.
//
// The same plan and clock give the same bytes.
package emit
