// Package profile holds tickets and messages against profiles: what a receiver
// asks of its senders beyond the standard. The published conformance levels are
// part of the program, and a house writes its own in the same form.
//
//	profile: saltmarsh-folding
//	title: What Saltmarsh Print Works wants of folding jobs
//	kinds: [JDF]
//	versions: 1.3 - 1.9
//	processes: [Folding]
//	clauses:
//	  - clause: catalogue
//	    at: FoldingParams
//	    require: ["@FoldCatalog"]
//	    message: the folder is set up by the catalogue
//	  - clause: grain
//	    at: Media[@MediaType = 'Paper']
//	    allow: {"@GrainDirection": [LongEdge, ShortEdge]}
//	    severity: warning
//	  - clause: heavy-stock
//	    at: ResourcePool/Media
//	    when: "@Weight > 170"
//	    condition: //CreasingParams
//	    message: stock of over 170 g/m2 is creased before it is folded
//	    do: add a Creasing process
//	    mends: operator
//
// # Profiles
//
// A profile is one YAML document of at most 256 KiB. What starts with @ or *, or
// holds ": " or " #", stands in quotes, as YAML asks.
//
//	file       = { key } ; each key once
//	key        = "profile: " name                      ; needed
//	           | "title: " text | "about: " text
//	           | "kinds: " list of kind                ; needed
//	           | "versions: " range
//	           | "processes: " list of process         ; one of them must be in a ticket; messages have none
//	           | "claims: " list of word               ; words of ICSVersions that claim the profile
//	           | "namespaces: " map of prefix to URI   ; beside jdf, xjdf, xsi and xml
//	           | "include: " list of published profile ; whose clauses hold too
//	           | "except: " list of clause             ; of included profiles, which do not hold
//	           | "clauses: " list of map of clause key
//	kind       = "JDF" | "JMF" | "XJDF" | "XJMF"
//	range      = version [ " - " [ version ] ] | "- " version
//	clause key = "clause: " name                       ; needed, once in a profile
//	           | "at: " path                           ; needed
//	           | "processes: " list of process         ; of the JDF node or XJDF around the element
//	           | "when: " expression
//	           | "require: " list of item | "forbid: " list of item | "take: " list of item
//	           | "allow: " map of attribute to list of value
//	           | "refuse: " map of attribute to list of value
//	           | "contain: " map of attribute to list of value
//	           | "count: " map of item to times | "unique: " list of attribute
//	           | "condition: " expression              ; needs message
//	           | "message: " text | "do: " text | "source: " text
//	           | "severity: " ( "error" | "warning" | "note" )      ; error when left out
//	           | "mends: " ( "sender" | "plant" | "operator" )      ; sender when left out
//	times      = number | number ".." | number ".." number
//	item       = path | attribute                      ; from the element at
//	attribute  = [ path "/" ] "@" name
//	path       = [ "/" ] step { "/" step }
//	step       = ( name | "*" ) { "[" expression "]" }
//
// A path that starts with / starts at the root element; otherwise at is looked
// for anywhere. A clause holds at each element that at leads to, where when is
// true, and must have one key at least of require, forbid, allow, refuse,
// contain, count, unique, condition and take.
//
//   - require: there is one of each at least.
//   - forbid: there is none.
//   - allow: the value is one of these; of a list of words, each word is.
//   - refuse: the value is none of these; of a list, no word is.
//   - contain: all of these are among the words.
//   - count: so many elements stand there.
//   - unique: no value comes twice among all elements at which the clause holds.
//   - condition: the expression is true.
//   - take: what a receiver must be able to read. It is not held against a
//     ticket; Duties lists it.
//
// An attribute that is not there has no value that could be wrong. Where claims
// are given and a document makes none of them, errors count as warnings.
//
// # Expressions
//
// Paths and expressions are XPath 1.0. Names without prefix are those of the
// standard, of either generation, and are checked against its dictionary. What
// XPath 1.0 has and is not taken:
//
//   - variables, the functions id and lang, the namespace axis, the node test
//     processing-instruction(), and a prefix with *;
//   - a number where true or false is wanted: write > 0;
//   - positions, but for a whole number, last(), or a comparison, in the first
//     brackets behind a child or attribute;
//   - ancestors, what comes before or after, and siblings of more than one
//     node, and descendants of descendants;
//   - text, number, count or sum of a set that may hold a node twice or whose
//     first node is not plain to see;
//   - two operands of which one has brackets and the other is not a single
//     attribute, a number or fixed.
//
// Each of these is a finding at its place. What is left gives the same answers
// as an independent processor, which the tests ask. Text of white space only is
// not looked at, and numbers may be written with an exponent.
//
// # Bounds
//
// An expression has 1000 bytes and 24 levels of brackets at most. Over one
// document, a profile may take two million steps, and two hundred more for each
// node; then it is left with a finding. A step is a move or 64 bytes of a
// value. What the functions on texts do with a value once it is made is not
// counted; it is proportional to the values and to the expression.
package profile
