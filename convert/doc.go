// Package convert turns tickets and messages of one generation of the standard
// into the other, and from one version to another inside a generation.
//
// What only changes its name, its place or its words is written in a table,
// table.txt, that a person can read; MAPPING.md is made of it. Go code does
// what changes the structure: nodes to tickets, resources and links to sets,
// partitions to parts, intents to products, audits and messages.
//
// Nothing is lost in silence. A ledger holds every element, attribute and text
// of the source, and says of each whether it was carried, changed or lost, and
// why. What comes out is held against the dictionary of its generation while it
// is built: what would not be valid there is taken out again, and is a loss.
//
// What one generation has and the other does not is kept as private data, in the
// namespace of its own generation, where the rest would not hold together without
// it: partition keys, and whole resources. With [Options.Keep] attributes and
// elements are kept likewise. On the way back they come home.
//
// # The table
//
//	table    = { section | values | needs | move }
//	section  = "[" element op element "]" [ ";" note ] NL { row }
//	row      = path op path [ ":" values ] [ ";" note ] NL
//	values   = "{" name "}" NL { word op word [ ";" note ] NL }
//	needs    = "!" generation element "/@" attribute value NL
//	move     = "~" element "/@" attribute "=" "@" attribute [ ";" note ] NL
//	op       = "="      both ways
//	         | ">"      from the 1.x generation only
//	         | "<"      from the 2.x generation only
//	path     = "-" | "." | { "^" } { step "/" } ( step | "@" attribute )
//	step     = element [ "[@" attribute "=" word "]" ]
//
// The 1.x generation stands on the left. A "^" before a path of the 2.x
// generation means the Resource around the element, "^^" its ResourceSet. A "-"
// says that there is no counterpart, a "." that none is needed since something
// else says the same; the note is the reason. What has no row
// keeps its name where the other generation has the name in the same place.
package convert
