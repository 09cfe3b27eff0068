// Package xsd holds a ticket against any XML schema with libxml2: the
// published schemas of the standard, or a customer's own extension schema.
//
// It is compiled in with the build tag libxml2 and cgo; `make build` sets the
// tag where the headers are. Without it the same functions are there, BuiltIn
// is false and Compile says how to build. The checks of package
// validate/structure need none of this.
//
// # The engine
//
// libxml2 is called directly, through one small C file. The binding for Go
// that wraps its schema check does not fit: it tells an error's line, which
// libxml2 keeps in 16 bits, and not its element; it lets a schema or a message
// fetch from the network; it keeps any number of errors, at two kilobytes
// each; and it reads a schema's includes from disk alone, as they stand.
//
// Here every element carries its number in document order, so that an error is
// at the very element or attribute of the jdf.Document, however many lines
// there are. A large document is checked as it is parsed, without a tree; what
// that leaves out is said in a finding of severity Note.
//
// Nothing is opened by libxml2 itself: the files of a schema are read here, the
// includes followed here, and its loader hands out these texts and refuses
// everything else. Names of the network are never followed.
//
// # Mending
//
// The published JDF 1.x schema escapes a character in a pattern that XML
// Schema does not let be escaped, and libxml2 refuses the whole schema for it.
// Such an escape is read as the character it stands for, in memory, and
// Schema.Notices tells of it.
package xsd
