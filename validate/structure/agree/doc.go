// Command agree sets the structure stage beside libxml2: both judge every
// published sample, and mutants of those that both find right. A mutant is a
// sample changed in one place: an attribute or element is dropped, doubled,
// renamed, moved or added, a value, its case or its type changes, neighbours
// change places, a namespace is wrong.
//
//	go run ./validate/structure/agree -seed 7 -mutants 20000 -java -v
//
// Where the two differ it prints the sample, what was changed and what each
// says; with -java also what the validator of the JDK says. Where the stage
// goes beyond the schema on purpose, or leaves a matter to another stage, the
// difference is put down to its reason, after a look whether the reason really
// holds. The exit status is 1 when a difference is left that has none, or when
// fewer mutants agree than asked for.
//
// libxml2 is called in the process where it is built in (tag libxml2), and
// through the program xmllint elsewhere.
package main
