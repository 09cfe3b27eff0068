// Package plan finds the best way of making a job in a plant.
//
// A plan is computed, not looked up. For flat work (cards, leaflets, posters,
// folded single sheets), for saddle-stitched and for perfect-bound books it
// enumerates the stocks that answer the ticket, whole and cut down into press
// sheets, the presses, the directions in which sheet and piece can lie, the work
// styles and, for books, the splits of the pages into sections and leaves. It works the waste of
// every operation back from the quantity to be delivered, costs each way, keeps
// the cheapest and says why the next ones lost. What the ticket fixes, such as a
// work style, a sheet size, a device or a fold, is honoured as a constraint.
//
// Lengths are plant.Length, whole micrometres, also in JSON. Times are rounded
// to whole seconds in one place, and money to the plant's places in one place
// (cost.go): every line of cost is rounded once, half up, when it is made, and
// all sums are exact sums of lines.
//
// A part of a book, or the one sheet of flat work, is what the plant file calls
// a job of a press: its first form takes the full setup waste and carries the
// wash-up, its later forms take the plant's share. On a digital press all forms
// of a part are one run, made ready once.
//
// A sheet carries one field of pieces, or two of pieces that lie differently
// where that holds more; several flat products are ganged on one form in a band or
// two each, or printed apart, or some of them ganged, whichever costs less. The leaves of a book that a
// digital press prints in one run are cut and stacked in their order. Each
// cutting has its program, each product its weight and its pallets, and SVG
// draws the sheets.
//
// Film is laid on printed sheets by a laminator, and a coating in the press or on a
// machine beside it, whichever costs less. A die cuts flat pieces out where the
// ticket wants it, n-up, clear of the grip of press and platen alike. What people
// do without a machine comes last.
//
// A ticket without products is planned from what its operations print: its sheets,
// work styles, positions, folds and machines are kept.
//
// Not searched are layouts that a guillotine can not cut (pin-wheels), gangs
// whose bands bear two products beside each other, several different sections
// on one form, and several presses for the sections of one part. Creasing before
// a fold is advised, not planned.
package plan
