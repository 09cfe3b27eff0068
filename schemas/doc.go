// Package schemas is the dictionary of the standard: for each generation, which
// elements, attributes and types there are, where they may stand, what values
// they take, and in which versions.
//
// The facts are read out of a published schema release by the command in
// schemas/generate and kept as two text tables, jdf.tab and xjdf.tab, which are
// part of the program. When the standard moves, the command writes new tables,
// and the difference can be read.
//
// # Asking
//
// JDF and XJDF return the two sets. A Set knows its global elements (Element),
// complex types (Type) and simple types (Simple). A Type answers with its
// attributes, inherited ones included, its base, and its content Model, which
// is run child by child: Model.Child turns a name into a symbol and the child's
// declaration, Model.Next takes a step, Model.Accepts tells whether content may
// end. A Simple checks a value. Nothing is read from a table before it is asked
// for; a Set is safe for concurrent use.
//
// # Tables
//
// A table is lines of words. A block starts with %, its kind and its name; its
// lines start with a tab. Blocks are sorted by kind and name. No % stands
// anywhere else.
//
//	table      = { block }
//	block      = "%attributes" name NL { attribute | use }
//	           | "%element" name type [ "abstract" ] [ "in" head ] NL
//	           | "%facts" name NL { fact }
//	           | "%group" name NL particle
//	           | "%schema" name NL "namespace" uri [ "types" uri ] "versions" { version }
//	           | "%simple" name ( "restricts" type | "list" type | "union" { type } ) NL { facet }
//	           | "%type" name [ "abstract" ] [ "mixed" ] [ ( "extends" | "restricts" ) type ]
//	             [ "text" type ] NL { "facts" name } [ particle ] { use | attribute } { fact }
//	particle   = ( "seq" | "choice" | "all" ) [ count ] NL { particle }     one tab deeper
//	           | "elem" name type [ count ] | "ref" name [ count ]
//	           | "group" name [ count ] | "any" "##other" "lax" [ count ]
//	count      = "?" | "*" | "+" | min ".." [ max ]                         absent: once
//	use        = "attributes" name
//	attribute  = "@" name type [ "required" | "prohibited" ] [ ( "default=" | "fixed=" ) quoted ]
//	           | "@*" "##other" "lax"
//	facet      = ( "enum" | "pattern" | "anycase" | "length" | "minLength" | "maxLength"
//	           | "minInclusive" | "maxInclusive" | "whiteSpace" ) value
//	fact       = "version" ( "." | "@" name | name [ condition ] ) span
//	           | "limit" name { "|" name } [ condition ] min ".." [ max ]
//	           | "link" usage name [ "[" processUsage "]" ] min ".." [ max ]
//	           | "linkversion" usage name [ "[" processUsage "]" ] span
//	condition  = "[@" name "=" value "]"
//	span       = [ first ] "-" [ last ]
//	usage      = "input" | "output" | "any"
//
// The name of a type that the release leaves anonymous is the path to it:
// /XJMF is the type of the element XJMF, /Address/@CountryCode that of an
// attribute in it. Types of XML Schema have the prefix xs. The facet anycase is
// a pattern that spells one word in any mixture of upper and lower case.
//
// A block of facts holds what the release notes at an element; the types that
// this speaks of name the block. The version facts exist for the 1.x generation
// only: the published schema of the 2.x generation carries no notes and no
// annotations, so nothing is known of when its names came in.
package schemas
