// Package pack reads and writes the two containers that tickets travel in with
// their artwork: MIME multipart/related (RFC 2387), which the 1.x generation
// uses, and ZIP, which the 2.x generation uses.
//
// A package comes from another company's system, and nothing it says of itself
// is believed: what a file is, is told by its content; names that lead out of
// the package, names given twice, links, parts that unpack to more than the
// Limits allow, and headers that two readers could understand in two ways are
// Problems. A part with a Problem stays in the list, so that what refers to it
// is not called dangling, but it can not be opened. Nothing is ever written to
// disk, and packages inside packages are not followed.
package pack
